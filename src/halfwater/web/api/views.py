"""The description of the calls (OpenAPI), for key holders and for the owner."""

from http import HTTPStatus
from typing import Any

from django.http import HttpRequest, HttpResponse, JsonResponse
from django.utils import timezone

from halfwater.deeds.keys import key_of
from halfwater.web.api.calls import api
from halfwater.web.api.problems import PROBLEM, problem
from halfwater.web.gate import is_owner, needs_password


def openapi(request: HttpRequest) -> HttpResponse:
    """What can be called, as OpenAPI."""
    scheme, _, secret = request.headers.get("Authorization", "").partition(" ")
    is_holder = scheme.lower() == "bearer" and key_of(secret.strip(), timezone.now()) is not None
    if not is_holder and needs_password(request) and not is_owner(request):
        return problem(HTTPStatus.UNAUTHORIZED, "Send the key of a program, or log in as the owner.")
    return JsonResponse(description(), json_dumps_params={"ensure_ascii": False})


def description() -> dict[str, Any]:
    """The description, its refusals told as what they are: problem documents."""
    told: dict[str, Any] = api.get_openapi_schema()
    for methods in told["paths"].values():
        for call in methods.values():
            for status, answer in call["responses"].items():
                if int(status) >= HTTPStatus.BAD_REQUEST and "application/json" in answer.get("content", {}):
                    answer["content"] = {PROBLEM: answer["content"]["application/json"]}
    return told


def nowhere(request: HttpRequest, rest: str = "") -> HttpResponse:
    """An address under the interface that is none."""
    return problem(HTTPStatus.NOT_FOUND, "There is no such call: /api/1/openapi.json lists them.")

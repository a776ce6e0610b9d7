"""Every refusal as a problem document (RFC 9457)."""

import json
from http import HTTPStatus
from typing import Any

from django.http import Http404, HttpRequest, HttpResponse
from ninja import NinjaAPI
from ninja.errors import AuthenticationError, HttpError, ValidationError

from halfwater.errors import RefusedByBook, RefusedInput

PROBLEM = "application/problem+json"
_NAMED = ("line", "hold")  # what a request names that must be in the book


def problem(status: int, detail: str, **more: str) -> HttpResponse:
    """A problem document."""
    told = {"type": "about:blank", "title": HTTPStatus(status).phrase, "status": status, "detail": detail}
    response = HttpResponse(json.dumps(told | more, ensure_ascii=False), status=status, content_type=PROBLEM)
    if status == HTTPStatus.UNAUTHORIZED:
        response.headers["WWW-Authenticate"] = 'Bearer realm="halfwater"'
    return response


def tell_problems(api: NinjaAPI) -> None:
    """Answer every refusal of an API with a problem document."""

    @api.exception_handler(RefusedInput)
    def _refused(request: HttpRequest, refused: RefusedInput) -> HttpResponse:
        status = 404 if refused.field in _NAMED else 422
        return problem(status, refused.sentence, field=refused.field, accepted=refused.accepted)

    @api.exception_handler(RefusedByBook)
    def _stands(request: HttpRequest, refused: RefusedByBook) -> HttpResponse:
        return problem(409, refused.sentence)

    @api.exception_handler(ValidationError)
    def _invalid(request: HttpRequest, refused: ValidationError) -> HttpResponse:
        field, accepted = _first(refused.errors)
        return problem(422, f"{field or 'the request'}: {accepted}.", field=field, accepted=accepted)

    @api.exception_handler(AuthenticationError)
    def _unknown(request: HttpRequest, refused: AuthenticationError) -> HttpResponse:
        return problem(401, "Send the key of a program: Authorization: Bearer hw_...")

    @api.exception_handler(Http404)
    def _nowhere(request: HttpRequest, refused: Http404) -> HttpResponse:
        return problem(404, "There is no such thing, or it is not yours.")

    @api.exception_handler(HttpError)
    def _http(request: HttpRequest, refused: HttpError) -> HttpResponse:
        return problem(refused.status_code, refused.message)


def _first(errors: list[dict[str, Any]]) -> tuple[str, str]:
    """Where the first fault is, and what it says."""
    first = errors[0] if errors else {"loc": (), "msg": "it cannot be read"}
    where = ".".join(str(part) for part in first["loc"][1:] if part not in ("asked", "part"))
    return where, str(first["msg"])

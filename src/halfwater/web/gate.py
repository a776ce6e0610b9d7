"""The gate: on this machine the book is open; from anywhere else only to who gave the owner's password."""

from collections.abc import Callable
from ipaddress import ip_address
from urllib.parse import urlsplit

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect
from django.urls import reverse

from halfwater.deeds.owner import password_mark

SESSION_KEY = "halfwater_owner"
# What has a door of its own (the interface asks for a key) or holds nothing of the book.
_OPEN_PREFIXES = ("/login/", "/static/", "/script/", "/api/")
_FORWARDED = ("HTTP_X_FORWARDED_FOR", "HTTP_X_FORWARDED_HOST", "HTTP_FORWARDED", "HTTP_X_REAL_IP")


class OwnerGate:
    """Shows nothing of the book to anyone beyond this machine without the password."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        if not needs_password(request) or request.path.startswith(_OPEN_PREFIXES) or is_owner(request):
            return self.get_response(request)
        if request.headers.get("HX-Request"):
            response = HttpResponse(status=204)
            response.headers["HX-Redirect"] = reverse("login")
            return response
        return redirect(f"{reverse('login')}?next={request.path}" if request.method == "GET" else "login")


def needs_password(request: HttpRequest) -> bool:
    """Is this request from beyond this machine, or is the book served to others at all?"""
    return bool(settings.SERVED_BEYOND) or not is_here(request)


def is_owner(request: HttpRequest) -> bool:
    """Has the owner's password, as it now stands, been given in this session?"""
    mark = request.session.get(SESSION_KEY)
    return bool(mark) and mark == password_mark()


def is_here(request: HttpRequest) -> bool:
    """Did the request come from this machine, straight, by a name of this machine?"""
    if any(name in request.META for name in _FORWARDED):
        return False
    return _is_loopback(request.META.get("REMOTE_ADDR", "")) and _is_local_host(request.get_host())


def _is_loopback(address: str) -> bool:
    try:
        return ip_address(address.split("%")[0]).is_loopback
    except ValueError:
        return False


def _is_local_host(host: str) -> bool:
    name = urlsplit(f"//{host}").hostname or ""
    return name in ("localhost", "testserver") or _is_loopback(name)

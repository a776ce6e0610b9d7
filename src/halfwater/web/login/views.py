"""The owner's password, asked at the door."""

from django.core.cache import cache
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_POST

from halfwater.deeds.owner import is_password_set, is_right_password, password_mark
from halfwater.errors import RefusedInput
from halfwater.web.fields import Field, Form
from halfwater.web.gate import SESSION_KEY
from halfwater.web.requests import safe_next
from halfwater.web.sheets import FormPage, Sheet

TRIES = 8  # wrong passwords from one address before it has to wait
WAIT_S = 900


@never_cache
def login(request: HttpRequest) -> HttpResponse:
    """Open the book to who knows the password."""
    form = Form((Field("password", "Password", type="password"),))
    if request.method == "POST":
        refused = try_password(request)
        if refused is None:
            return redirect(safe_next(request, "/"))
        form = form.with_refusal(refused)
    page = FormPage(
        title="The owner's password",
        intro=""
        if is_password_set()
        else "No password is set yet. Set one on the machine that keeps the book, under More.",
        sheets=(Sheet(form, "Open the book"),),
    )
    onward = safe_next(request, "")
    return render(
        request, "login/page.html", {"page": page, "onward": onward}, status=422 if form.is_refused else 200
    )


@require_POST
def logout(request: HttpRequest) -> HttpResponse:
    """Close the book on this device."""
    request.session.flush()
    return redirect("login")


def try_password(request: HttpRequest) -> RefusedInput | None:
    """Open the session if the password is right; otherwise why not."""
    slot = f"tries-{request.META.get('REMOTE_ADDR', '')}"
    tries = int(cache.get(slot, 0))
    if tries >= TRIES:
        return RefusedInput("password", "", f"too many wrong tries from here: wait {WAIT_S // 60} minutes")
    if not is_right_password(request.POST.get("password", "")):
        cache.set(slot, tries + 1, WAIT_S)
        return RefusedInput("password", "", "this is not the owner's password")
    cache.delete(slot)
    request.session.cycle_key()
    request.session[SESSION_KEY] = password_mark()
    return None

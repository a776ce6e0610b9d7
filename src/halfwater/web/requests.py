"""What every view knows of its request."""

from django.http import HttpRequest
from django.utils.http import url_has_allowed_host_and_scheme

WHO = "owner"  # whose changes these are: one book, one grower


def safe_next(request: HttpRequest, fallback: str) -> str:
    """Where to go on: a page of this book named in `next`, or the fallback."""
    wanted = str(request.POST.get("next") or request.GET.get("next") or "")
    is_ours = url_has_allowed_host_and_scheme(
        wanted, allowed_hosts={request.get_host()}, require_https=request.is_secure()
    )
    return wanted if wanted and is_ours else fallback

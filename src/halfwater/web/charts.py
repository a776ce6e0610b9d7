"""The chart script: made once from the drawing library, then served as a local file for ever."""

from functools import lru_cache
from hashlib import sha256
from importlib.metadata import version

from django.http import HttpRequest, HttpResponse
from django.urls import reverse

_YEAR_S = 31_536_000


@lru_cache(maxsize=1)
def chart_script() -> bytes:
    """The bundle of Vega, Vega-Lite and Vega-Embed as one script."""
    import vl_convert

    return vl_convert.javascript_bundle().encode()


def chart_script_url() -> str:
    """Where the script is served; the name changes when the library does, so that it may be kept."""
    mark = sha256(version("vl-convert-python").encode()).hexdigest()[:10]
    return reverse("chart-script", args=[mark])


def serve_chart_script(request: HttpRequest, mark: str) -> HttpResponse:
    """The script, to be kept by the browser for a year."""
    response = HttpResponse(chart_script(), content_type="text/javascript; charset=utf-8")
    response.headers["Cache-Control"] = f"public, max-age={_YEAR_S}, immutable"
    return response

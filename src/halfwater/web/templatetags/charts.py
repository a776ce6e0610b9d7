"""The chart script and specs."""

import json
from typing import Any

from django import template
from django.utils.html import format_html
from django.utils.safestring import SafeString, mark_safe

from halfwater.web.charts import chart_script_url

register = template.Library()
_SAFE = {ord("<"): "\\u003C", ord(">"): "\\u003E", ord("&"): "\\u0026"}


@register.simple_tag
def chart_script() -> str:
    """The address of the drawing library."""
    return chart_script_url()


@register.filter
def chart_json(spec: dict[str, Any]) -> SafeString:
    """A spec as data the page carries; it is never run."""
    text = json.dumps(spec, separators=(",", ":"), allow_nan=False).translate(_SAFE)
    return format_html('<script type="application/json">{}</script>', mark_safe(text))

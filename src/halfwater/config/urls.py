"""The addresses of the pages."""

from importlib.util import find_spec

from django.urls import include, path

urlpatterns = [path("", include("halfwater.web.urls"))] if find_spec("halfwater.web.urls") else []

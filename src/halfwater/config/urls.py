"""The addresses of the pages."""

from django.urls import include, path

urlpatterns = [path("", include("halfwater.web.urls"))]

"""The pages as a Django app, so that their templates and static files are found."""

from django.apps import AppConfig


class WebConfig(AppConfig):
    """The pages."""

    name = "halfwater.web"
    label = "web"
    verbose_name = "pages"

"""The book as a Django application."""

from django.apps import AppConfig


class BookConfig(AppConfig):
    """Names the application `book`."""

    name = "halfwater.book"
    label = "book"
    default_auto_field = "django.db.models.BigAutoField"

"""The application's name."""

from django.apps import AppConfig


class Examinations(AppConfig):
    """Examinations of skin."""

    name = "examinations"

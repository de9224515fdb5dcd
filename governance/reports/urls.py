"""The addresses of the room."""

from django.urls import URLPattern, URLResolver

app_name = "reports"
urlpatterns: list[URLPattern | URLResolver] = []

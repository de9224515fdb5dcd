"""The addresses of the room."""

from django.urls import URLPattern, URLResolver

app_name = "duties"
urlpatterns: list[URLPattern | URLResolver] = []

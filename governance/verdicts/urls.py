"""The addresses of the room."""

from django.urls import URLPattern

app_name = "verdicts"
urlpatterns: list[URLPattern] = []

"""The addresses of the room."""

from django.urls import URLPattern

app_name = "intake"
urlpatterns: list[URLPattern] = []

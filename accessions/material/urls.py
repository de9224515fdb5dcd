"""The addresses of the room."""

from django.urls import URLPattern

app_name = "material"
urlpatterns: list[URLPattern] = []

"""The addresses of the room."""

from django.urls import URLPattern, URLResolver

app_name = "usedesk"
urlpatterns: list[URLPattern | URLResolver] = []

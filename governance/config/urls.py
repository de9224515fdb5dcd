"""The addresses of the site. Each room with pages adds its own ``urls`` here."""

from django.urls import URLPattern, URLResolver

urlpatterns: list[URLPattern | URLResolver] = []

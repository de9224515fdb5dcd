"""Addresses of the audit."""

from django.urls import URLPattern

app_name = "audit"

urlpatterns: list[URLPattern] = []

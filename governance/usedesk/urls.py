"""The addresses of the room."""

from django.urls import URLPattern, URLResolver, path

from governance.usedesk.views import exchange

app_name = "usedesk"
urlpatterns: list[URLPattern | URLResolver] = [
    path("requests/<int:pk>/exchange-label/", exchange.exchange_label, name="exchange-label"),
]

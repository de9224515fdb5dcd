"""Addresses of the audit."""

from django.urls import URLPattern, path

from governance.audit.views import histories

app_name = "audit"

urlpatterns: list[URLPattern] = [
    path("history/", histories.write_list, name="writes"),
    path("history/writes/<int:number>/", histories.one_write, name="write"),
    path("history/<str:kind>/<int:pk>/", histories.one_history, name="history"),
    path("history/<str:kind>/<int:pk>/history.csv", histories.history_csv, name="history-csv"),
]

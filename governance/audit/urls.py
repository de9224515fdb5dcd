"""Addresses of the audit."""

from django.urls import path

from governance.audit.views import asking, exporting

app_name = "audit"

urlpatterns = [
    path("", asking.questions, name="questions"),
    path("questions/<slug:key>/", asking.ask, name="ask"),
    path("questions/<slug:key>/answer.csv", exporting.ask_csv, name="ask-csv"),
    path("questions/<slug:key>/answer.xlsx", exporting.ask_xlsx, name="ask-xlsx"),
    path("questions/<slug:key>/answer.docx", exporting.ask_docx, name="ask-docx"),
]

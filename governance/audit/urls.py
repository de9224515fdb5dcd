"""Addresses of the audit."""

from django.urls import path

from governance.audit.views import asking, exporting, histories, verdict_changes

app_name = "audit"

urlpatterns = [
    path("", asking.questions, name="questions"),
    path("questions/<slug:key>/", asking.ask, name="ask"),
    path("questions/<slug:key>/answer.csv", exporting.ask_csv, name="ask-csv"),
    path("questions/<slug:key>/answer.xlsx", exporting.ask_xlsx, name="ask-xlsx"),
    path("questions/<slug:key>/answer.docx", exporting.ask_docx, name="ask-docx"),
    path("history/", histories.write_list, name="writes"),
    path("history/writes/<int:number>/", histories.one_write, name="write"),
    path("history/<str:kind>/<int:pk>/", histories.one_history, name="history"),
    path("history/<str:kind>/<int:pk>/history.csv", histories.history_csv, name="history-csv"),
    path("specimens/<int:pk>/verdicts/", verdict_changes.verdict_changes, name="verdict-changes"),
]

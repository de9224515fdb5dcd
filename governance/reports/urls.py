"""The addresses of the room."""

from django.urls import URLPattern, URLResolver, path

from governance.reports.views import (
    behind,
    drafting,
    files,
    issuing,
    listing,
    one_report,
    progress,
    sending,
    shared,
    sharing,
)

app_name = "reports"
urlpatterns: list[URLPattern | URLResolver] = [
    path("", listing.report_list, name="reports"),
    path("export.csv", listing.reports_csv, name="reports-csv"),
    path("export.xlsx", listing.reports_xlsx, name="reports-xlsx"),
    path("new/", drafting.report_new, name="report-new"),
    path("<int:pk>/", one_report.report, name="report"),
    path("<int:pk>/edit/", drafting.report_edit, name="report-edit"),
    path("<int:pk>/texts/", drafting.report_texts, name="report-texts"),
    path("<int:pk>/compose/", drafting.report_compose, name="report-compose"),
    path("<int:pk>/progress/", progress.report_progress, name="report-progress"),
    path("<int:pk>/rows/<slug:table>/", behind.report_rows, name="report-rows"),
    path("<int:pk>/rows/<slug:table>/export.csv", behind.report_rows_csv, name="report-rows-csv"),
    path("<int:pk>/rows/<slug:table>/export.xlsx", behind.report_rows_xlsx, name="report-rows-xlsx"),
    path("<int:pk>/draft.docx", files.report_docx_file, name="report-docx"),
    path("<int:pk>/draft.xlsx", files.report_xlsx_file, name="report-xlsx"),
    path("<int:pk>/issue/", issuing.report_issue, name="report-issue"),
    path("<int:pk>/files/<slug:format>/", files.report_file, name="report-file"),
    path("<int:pk>/differences/", one_report.report_differences, name="report-differences"),
    path("<int:pk>/send/", sending.report_send, name="report-send"),
    path("<int:pk>/withdraw/", issuing.report_withdraw, name="report-withdraw"),
    path("<int:pk>/correct/", drafting.report_correct, name="report-correct"),
    path("<int:pk>/discard/", drafting.report_discard, name="report-discard"),
    path("sendings/<int:pk>/void/", sending.sending_void, name="sending-void"),
    path("shares/", sharing.share_list, name="shares"),
    path("shares/export.csv", sharing.shares_csv, name="shares-csv"),
    path("shares/new/", sharing.share_new, name="share-new"),
    path("shares/<int:pk>/", sharing.share, name="share"),
    path("shares/<int:pk>/edit/", sharing.share_edit, name="share-edit"),
    path("shares/<int:pk>/revoke/", sharing.share_revoke, name="share-revoke"),
    path("shares/messages/<int:pk>/read/", sharing.share_message_read, name="share-message-read"),
    path("shared/<str:token>/", shared.shared, name="shared"),
    path("shared/<str:token>/files/<int:pk>/<slug:format>/", shared.shared_file, name="shared-file"),
    path("shared/<str:token>/message/", shared.shared_message, name="shared-message"),
]

"""Addresses of the audit."""

from django.urls import path

from governance.audit.views import (
    asking,
    bundling,
    composed,
    exporting,
    histories,
    quality,
    saved,
    seal,
    verdict_changes,
)

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
    path("evidence/", bundling.bundle, name="bundle"),
    path("evidence/file/", bundling.bundle_make, name="bundle-make"),
    path("compose/", composed.compose, name="compose"),
    path("compose/answer.csv", composed.compose_csv, name="compose-csv"),
    path("compose/answer.xlsx", composed.compose_xlsx, name="compose-xlsx"),
    path("saved/", saved.saved_list, name="saved"),
    path("saved/new/", saved.saved_new, name="saved-new"),
    path("saved/<int:pk>/", saved.saved_one, name="saved-one"),
    path("saved/<int:pk>/edit/", saved.saved_edit, name="saved-edit"),
    path("saved/<int:pk>/remove/", saved.saved_remove, name="saved-remove"),
    path("saved/<int:pk>/back/", saved.saved_back, name="saved-back"),
    path("saved/<int:pk>/follow/", saved.saved_follow, name="saved-follow"),
    path("saved/<int:pk>/ask/", saved.saved_ask, name="saved-ask"),
    path("quality/", quality.quality, name="quality"),
    path("quality/count/", quality.quality_count, name="quality-count"),
    path("quality/<slug:rule>/note/", quality.quality_note, name="quality-note"),
    path("quality/notes/<int:pk>/withdraw/", quality.quality_withdraw, name="quality-withdraw"),
    path("seal/", seal.seal, name="seal"),
    path("seal/check/", seal.seal_check, name="seal-check"),
    path("seal/head/", seal.seal_head, name="seal-head"),
    path("seal/heads/new/", seal.head_new, name="head-new"),
    path("seal/compare/", seal.seal_compare, name="seal-compare"),
]

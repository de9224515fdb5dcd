"""The addresses of the room."""

from django.urls import path

from accessions.intake.views import commit, lists, mapping, preview, taking_back

app_name = "intake"
urlpatterns = [
    path("", lists.batch_list, name="batches"),
    path("new/", lists.batch_new, name="batch-new"),
    path("<int:pk>/", mapping.batch, name="batch"),
    path("<int:pk>/dates/", mapping.batch_dates, name="batch-dates"),
    path("<int:pk>/preview/", preview.batch_preview, name="batch-preview"),
    path("<int:pk>/changes/", preview.batch_changes, name="batch-changes"),
    path("<int:pk>/accession/", preview.batch_accession, name="batch-accession"),
    path("<int:pk>/commit/", commit.batch_commit, name="batch-commit"),
    path("<int:pk>/errors/", commit.batch_errors, name="batch-errors"),
    path("<int:pk>/file/", commit.batch_file, name="batch-file"),
    path("<int:pk>/take-back/", taking_back.batch_take_back, name="batch-take-back"),
    path("<int:pk>/discard/", commit.batch_discard, name="batch-discard"),
]

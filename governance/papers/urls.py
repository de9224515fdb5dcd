"""The addresses of the room."""

from django.urls import path

from governance.papers.views import (
    base_map,
    continuing,
    entering,
    importing,
    linking,
    listing,
    one_paper,
    restricting,
    scans,
    site_boundaries,
    title,
    turns,
)

app_name = "papers"
urlpatterns = [
    path("", listing.paper_list, name="papers"),
    path("export.json", listing.papers_export, name="papers-export"),
    path("export.csv", listing.paper_table, {"form": "csv"}, name="papers-csv"),
    path("export.xlsx", listing.paper_table, {"form": "xlsx"}, name="papers-xlsx"),
    path("base-map.json", base_map.base_map, name="base-map"),
    path("new/", entering.paper_new, name="paper-new"),
    path("import/", importing.papers_import, name="papers-import"),
    path("import/<int:pk>/", importing.papers_import_file, name="papers-import-file"),
    path("<int:pk>/", one_paper.paper, name="paper"),
    path("<int:pk>/export.json", listing.paper_export, name="paper-export"),
    path("<int:pk>/edit/", entering.paper_edit, name="paper-edit"),
    path("<int:pk>/versions/new/", entering.version_new, name="version-new"),
    path("<int:pk>/versions/<int:version_pk>/edit/", entering.version_edit, name="version-edit"),
    path("<int:pk>/versions/<int:version_pk>/remove/", turns.version_remove, name="version-remove"),
    path("<int:pk>/status/", turns.paper_status, name="paper-status"),
    path("<int:pk>/status/<int:turn_pk>/remove/", turns.status_remove, name="status-remove"),
    path("<int:pk>/link/", linking.paper_link, name="paper-link"),
    path("<int:pk>/unlink/", linking.paper_unlink, name="paper-unlink"),
    path("<int:pk>/restrict/", restricting.paper_restrict, name="paper-restrict"),
    path("<int:pk>/continuations/new/", continuing.paper_continuation, name="paper-continuation"),
    path("continuations/<int:pk>/edit/", continuing.continuation_edit, name="continuation-edit"),
    path("continuations/<int:pk>/remove/", continuing.continuation_remove, name="continuation-remove"),
    path("titles/new/<int:pk>/", title.title_new, name="title-new"),
    path("titles/<int:pk>/edit/", title.title_edit, name="title-edit"),
    path("titles/<int:pk>/remove/", title.title_remove, name="title-remove"),
    path("<int:pk>/scans/", scans.paper_scans, name="paper-scans"),
    path("scans/<int:pk>/take-off/", scans.paper_scan_take_off, name="paper-scan-take-off"),
    path("scan-ranges/<int:pk>/", scans.scan_ranges, name="scan-ranges"),
    path("site-boundaries/<int:pk>/", site_boundaries.site_boundary, name="site-boundary"),
]

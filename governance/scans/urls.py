"""The addresses of the room."""

from django.urls import path

from governance.scans.views import (
    dropping,
    files,
    filing,
    listing,
    marks,
    one_scan,
    pages,
    placing,
    reading,
    searching,
    uploading,
)

app_name = "scans"
urlpatterns = [
    path("", listing.scan_list, name="scans"),
    path("drop/", dropping.scan_drop, name="scan-drop"),
    path("list.csv", listing.scan_table, name="scans-csv"),
    path("<int:pk>/", one_scan.scan_page, name="scan"),
    path("<int:pk>/pages/<int:number>.png", pages.page_image, name="page-image"),
    path("<int:pk>/place/", placing.scan_place, name="scan-place"),
    path("<int:pk>/marks/new/", marks.scan_mark, name="scan-mark"),
    path("marks/<int:pk>/withdraw/", marks.mark_withdraw, name="scan-mark-withdraw"),
    path("uploads/", uploading.uploads, name="uploads"),
    path("uploads/<str:token>/", uploading.upload, name="upload"),
    path("search/", searching.search, name="search"),
    path("<int:pk>/read-again/", reading.scan_read_again, name="scan-read-again"),
    path("<int:pk>/file", files.scan_file, name="scan-file"),
    path("filing/accession/<int:pk>/", filing.file_on_accession, name="file-on-accession"),
    path("filing/site/<int:pk>/", filing.file_on_site, name="file-on-site"),
    path("filings/<int:pk>/take-off/", filing.filing_take_off, name="filing-take-off"),
    path("filings/<int:pk>/sort/", filing.filing_sort, name="filing-sort"),
]

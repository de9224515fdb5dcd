"""The addresses of the room."""

from django.urls import path

from governance.papers.views import listing, one_paper

app_name = "papers"
urlpatterns = [
    path("", listing.paper_list, name="papers"),
    path("export.json", listing.papers_export, name="papers-export"),
    path("export.csv", listing.paper_table, {"form": "csv"}, name="papers-csv"),
    path("export.xlsx", listing.paper_table, {"form": "xlsx"}, name="papers-xlsx"),
    path("<int:pk>/", one_paper.paper, name="paper"),
    path("<int:pk>/export.json", listing.paper_export, name="paper-export"),
]

"""The addresses of the room."""

from django.urls import path

from accessions.sites.views import periods, sites

app_name = "sites"
urlpatterns = [
    path("", sites.site_list, name="sites"),
    path("export.csv", sites.site_export, name="sites-export"),
    path("new/", sites.site_new, name="site-new"),
    path("<int:pk>/", sites.site_page, name="site"),
    path("<int:pk>/edit/", sites.site_edit, name="site-edit"),
    path("<int:pk>/boundaries/new/", periods.period_new, {"kind": "boundaries"}, name="boundary-new"),
    path("<int:pk>/tenures/new/", periods.period_new, {"kind": "tenures"}, name="tenure-new"),
    path("<int:pk>/designations/new/", periods.period_new, {"kind": "designations"}, name="designation-new"),
    path("boundaries/<int:pk>/edit/", periods.period_edit, {"kind": "boundaries"}, name="boundary-edit"),
    path("tenures/<int:pk>/edit/", periods.period_edit, {"kind": "tenures"}, name="tenure-edit"),
    path("designations/<int:pk>/edit/", periods.period_edit, {"kind": "designations"}, name="designation-edit"),
    path("boundaries/<int:pk>/remove/", periods.period_remove, {"kind": "boundaries"}, name="boundary-remove"),
    path("tenures/<int:pk>/remove/", periods.period_remove, {"kind": "tenures"}, name="tenure-remove"),
    path("designations/<int:pk>/remove/", periods.period_remove, {"kind": "designations"}, name="designation-remove"),
]

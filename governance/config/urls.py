"""The addresses of the site: each room has its own ``urls``."""

from django.urls import include, path

from governance.reports.views.shared import robots

urlpatterns = [
    path("robots.txt", robots, name="robots"),
    path("", include("governance.verdicts.urls")),
    path("", include("governance.guide.urls")),
    path("", include("governance.search.urls")),
    path("duties/", include("governance.duties.urls")),
    path("reports/", include("governance.reports.urls")),
    path("audit/", include("governance.audit.urls")),
    path("desk/", include("governance.usedesk.urls")),
    path("plans/", include("governance.plans.urls")),
    path("papers/", include("governance.papers.urls")),
    path("scans/", include("governance.scans.urls")),
    path("intake/", include("accessions.intake.urls")),
    path("accessions/", include("accessions.material.urls")),
    path("sites/", include("accessions.sites.urls")),
    path("", include("accessions.people.urls")),
]

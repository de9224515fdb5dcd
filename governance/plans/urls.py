"""The addresses of the room."""

from django.urls import path

from governance.plans.views import (
    application_scans,
    application_steps,
    applications,
    calendar,
    cells,
    decisions,
    exports,
    letters,
    listing,
    notices,
    one_plan,
    papers,
    signing,
    versions,
)

app_name = "plans"
urlpatterns = [
    path("", listing.plan_list, name="plans"),
    path("<int:pk>/", one_plan.plan, name="plan"),
    path("<int:pk>/matrix/", one_plan.matrix, name="plan-matrix"),
    path("<int:pk>/stops/<int:stop>/<slug:layer>/", cells.plan_cell, name="plan-cell"),
    path("<int:pk>/papers/attach/", papers.plan_attach, name="plan-attach"),
    path("papers/<int:pk>/take-off/", papers.take_off_paper, name="plan-paper-take-off"),
    path("<int:pk>/decide/<slug:layer>/", decisions.plan_decide, name="plan-decide"),
    path("decisions/<int:pk>/withdraw/", decisions.decision_withdraw, name="plan-decision-withdraw"),
    path("<int:pk>/check.csv", exports.plan_csv, name="plan-csv"),
    path("<int:pk>/check.xlsx", exports.plan_xlsx, name="plan-xlsx"),
    path("<int:pk>/notices/new/", notices.plan_notice, name="plan-notice"),
    path("notices/<int:pk>/remove/", notices.notice_remove, name="notice-remove"),
    path("applications/", applications.application_list, name="applications"),
    path("applications/export.csv", applications.applications_csv, name="applications-csv"),
    path("<int:pk>/applications/new/", applications.application_new, name="application-new"),
    path("<int:pk>/applications/print/", applications.plan_checklist, name="plan-checklist"),
    path("applications/<int:pk>/", applications.application, name="application"),
    path("applications/<int:pk>/edit/", applications.application_edit, name="application-edit"),
    path("applications/<int:pk>/grant/", application_steps.application_grant, name="application-grant"),
    path("applications/<int:pk>/undo/", application_steps.application_undo, name="application-undo"),
    path("applications/<int:pk>/steps/<slug:step>/", application_steps.application_step, name="application-step"),
    path("applications/<int:pk>/letter/", letters.application_letter, name="application-letter"),
    path("<int:pk>/calendar.ics", calendar.plan_ics, name="plan-calendar"),
    path("applications/<int:pk>/scan/", application_scans.application_scan, name="application-scan"),
    path(
        "applications/scans/<int:pk>/take-off/",
        application_scans.application_scan_take_off,
        name="application-scan-take-off",
    ),
    path("<int:pk>/versions/", versions.plan_versions, name="plan-versions"),
    path("versions/<int:pk>/", versions.plan_version, name="plan-version"),
    path("<int:pk>/sign-off/", signing.plan_sign_off, name="plan-sign-off"),
    path("sign-offs/<int:pk>/withdraw/", signing.sign_off_withdraw, name="sign-off-withdraw"),
]

"""The addresses of the room: one line a path, grouped by page."""

from django.urls import path

from governance.verdicts.views import (
    accession_papers,
    bulk,
    changes,
    countries,
    country_rules,
    export,
    house_rules,
    layer_decisions,
    legal_file,
    legal_file_bulk,
    overrides,
    paper_preview,
    reviewing,
    runs,
    shapes_help,
    specimen,
    specimen_list,
    today,
)

app_name = "verdicts"
urlpatterns = [
    # Today
    path("", today.today, name="today"),
    # the list of specimens
    path("specimens/", specimen_list.specimen_list, name="specimens"),
    path("specimens/export.<str:form>", export.specimens_export, name="specimens-export"),
    path("specimens/permits.csv", export.specimens_permits, name="specimens-permits"),
    path("specimens/link/", bulk.specimens_link, name="specimens-link"),
    path("specimens/record-search/", bulk.specimens_search, name="specimens-search"),
    # accessions: which paper speaks for which part
    path("accessions/<int:pk>/papers/", accession_papers.accession_papers, name="accession-papers"),
    # the legal file of an accession
    path("accessions/attach/", legal_file_bulk.legal_file_bulk, name="legal-file-bulk"),
    path("accessions/<int:pk>/file/", legal_file.legal_file_page, name="legal-file"),
    path("accessions/<int:pk>/file/print/", legal_file.legal_file_print, name="legal-file-print"),
    path("accessions/<int:pk>/file/export.<str:form>", legal_file.legal_file_export, name="legal-file-export"),
    path("accessions/<int:pk>/file/<str:layer>/attach/", legal_file.legal_file_attach, name="legal-file-attach"),
    path("accessions/<int:pk>/file/<str:layer>/search/", legal_file.legal_file_search, name="legal-file-search"),
    # decisions that a layer needs no paper
    path("accessions/<int:pk>/file/<str:layer>/decide/", layer_decisions.decision_new, name="decision-new"),
    path("accessions/decisions/<int:pk>/withdraw/", layer_decisions.decision_withdraw, name="decision-withdraw"),
    # papers: what one would cover as it is written
    path("papers-preview/", paper_preview.new_paper, name="paper-preview"),
    path("papers-preview/<int:pk>/", paper_preview.version, name="paper-preview-version"),
    path("papers-preview/<int:pk>/<int:version_pk>/", paper_preview.version, name="paper-preview-correction"),
    # what a change would change, shown before it is saved
    path("changes/papers/<int:pk>/versions/new/", changes.version_new, name="changes-version-new"),
    path("changes/papers/<int:pk>/versions/<int:version_pk>/", changes.version_edit, name="changes-version-edit"),
    path(
        "changes/papers/<int:pk>/versions/<int:version_pk>/remove/",
        changes.version_remove,
        name="changes-version-remove",
    ),
    path("changes/papers/<int:pk>/status/", changes.status, name="changes-status"),
    path("changes/papers/<int:pk>/status/<int:turn_pk>/remove/", changes.status_remove, name="changes-status-remove"),
    path("changes/papers/<int:pk>/unlink/", changes.unlink, name="changes-unlink"),
    # country sheets
    path("countries/", countries.countries, name="countries"),
    path("countries/export.csv", countries.countries_export, name="countries-export"),
    path("countries/start/", countries.sheet_start, name="country-start"),
    path("countries/start-all/", countries.sheets_start, name="countries-start"),
    path("countries/without-sheet/<str:code>/", countries.country_without_sheet, name="country-without-sheet"),
    path("countries/<int:pk>/", countries.country, name="country"),
    path("countries/<int:pk>/edit/", countries.sheet_edit, name="country-edit"),
    path("countries/<int:pk>/checked/", countries.sheet_stamp, name="country-stamp"),
    path("countries/<int:pk>/rules/new/", country_rules.rule_new, name="country-rule-new"),
    path("countries/<int:pk>/rules/at-once/", country_rules.rules_at_once, name="country-rules-at-once"),
    path("countries/rules/<int:pk>/end/", country_rules.rule_end, name="country-rule-end"),
    path("countries/rules/<int:pk>/follow/", country_rules.rule_follow, name="country-rule-follow"),
    path("countries/rules/<int:pk>/correct/", country_rules.rule_correct, name="country-rule-correct"),
    path("countries/rules/<int:pk>/withdraw/", country_rules.rule_withdraw, name="country-rule-withdraw"),
    # a specimen, and decisions beside its verdicts
    path("specimens/<int:pk>/", specimen.specimen, name="specimen"),
    path("specimens/<int:pk>/map/", specimen.specimen_map, name="specimen-map"),
    path("decisions/<int:pk>/review/", reviewing.override_review, name="override-review"),
    path("specimens/<int:pk>/layers/<str:layer>/overrule/", overrides.override, name="override"),
    # assessments, house rules, what the shapes mean
    path("assessments/", runs.run_list, name="runs"),
    path("assessments/start/", runs.assess, name="assess"),
    path("assessments/<int:pk>/", runs.run, name="run"),
    path("house-rules/", house_rules.house_rules, name="house-rules"),
    path("house-rules/edit/", house_rules.house_rules_edit, name="house-rules-edit"),
    path("help/verdicts/", shapes_help.shapes_help, name="shapes-help"),
]

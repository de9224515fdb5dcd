"""The addresses of the room."""

from django.urls import path

from accessions.material.views import accessions, arrival_steps, arrivals, belongings, removing, siting, specimens

app_name = "material"
urlpatterns = [
    path("", accessions.accession_list, name="accessions"),
    path("export.csv", accessions.accession_export, name="accessions-export"),
    path("new/", accessions.accession_new, name="accession-new"),
    path("arrivals/", arrivals.arrival_list, name="arrivals"),
    path("arrivals/export.csv", arrivals.arrivals_export, name="arrivals-export"),
    path("arrivals/new/", arrivals.arrival_new, name="arrival-new"),
    path("arrivals/<int:pk>/", arrivals.arrival, name="arrival"),
    path("arrivals/<int:pk>/receipt/", arrivals.arrival_receipt, name="arrival-receipt"),
    path("arrivals/<int:pk>/edit/", arrivals.arrival_edit, name="arrival-edit"),
    path("arrivals/<int:pk>/quarantine/", arrival_steps.arrival_quarantine, name="arrival-quarantine"),
    path("arrivals/<int:pk>/release/", arrival_steps.arrival_release, name="arrival-release"),
    path("arrivals/<int:pk>/take-back/", arrival_steps.arrival_take_back, name="arrival-take-back"),
    path("arrivals/<int:pk>/accession/", arrival_steps.arrival_accession, name="arrival-accession"),
    path("<int:pk>/", accessions.accession_page, name="accession"),
    path("<int:pk>/edit/", accessions.accession_edit, name="accession-edit"),
    path("<int:pk>/summary/", accessions.accession_summary, name="accession-summary"),
    path("<int:pk>/parts/new/", belongings.part_new, name="part-new"),
    path("parts/<int:pk>/edit/", belongings.part_edit, name="part-edit"),
    path("<int:pk>/move/", belongings.specimens_move, name="specimens-move"),
    path("<int:pk>/deliveries/new/", belongings.delivery_new, name="delivery-new"),
    path("deliveries/<int:pk>/edit/", belongings.delivery_edit, name="delivery-edit"),
    path("sites/<int:pk>/attach/", siting.site_attach, name="site-attach"),
    path("<int:pk>/labels/", specimens.label_new, name="label-new"),
    path("specimens/<int:pk>/edit/", specimens.specimen_edit, name="specimen-edit"),
    path("specimens/<int:pk>/remove/", removing.specimen_remove, name="specimen-remove"),
    path("specimens/<int:pk>/event/", specimens.specimen_event, name="specimen-event"),
    path("specimens/<int:pk>/determination/", specimens.specimen_determine, name="specimen-determine"),
]

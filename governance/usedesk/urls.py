"""The addresses of the room."""

from django.urls import URLPattern, URLResolver, path

from governance.usedesk.views import (
    basket,
    exchange,
    listing,
    listings,
    recipients,
    requests,
    rules,
    scanning,
    selection,
)

app_name = "usedesk"
urlpatterns: list[URLPattern | URLResolver] = [
    path("requests/<int:pk>/exchange-label/", exchange.exchange_label, name="exchange-label"),
    path("", listing.request_list, name="requests"),
    path("export.csv", listing.requests_csv, name="requests-csv"),
    path("requests/new/", requests.request_new, name="request-new"),
    path("requests/<int:pk>/edit/", requests.request_edit, name="request-edit"),
    path("requests/<int:pk>/close/", requests.request_close, name="request-close"),
    path("requests/<int:pk>/answer/", requests.request_answer, name="request-answer"),
    path("recipients/", recipients.recipient_list, name="recipients"),
    path("recipients/new/", recipients.recipient_new, name="recipient-new"),
    path("recipients/<int:pk>/", recipients.recipient, name="recipient"),
    path("recipients/<int:pk>/edit/", recipients.recipient_edit, name="recipient-edit"),
    path("rules/", rules.desk_rules, name="desk-rules"),
    path("rules/house/", rules.house_edit, name="desk-house"),
    path("rules/silence/new/", rules.silence_new, name="silence-new"),
    path("rules/silence/<int:pk>/", rules.silence_edit, name="silence-edit"),
    path("rules/silence/<int:pk>/remove/", rules.silence_remove, name="silence-remove"),
    path("rules/footing/<slug:use>/", rules.footing_edit, name="footing-edit"),
    path("rules/footing/<slug:use>/remove/", rules.footing_remove, name="footing-remove"),
    path("listings/", listings.listings, name="listings"),
    path("listings/export.csv", listings.listings_csv, name="listings-csv"),
    path("listings/new/", listings.listing_new, name="listing-new"),
    path("listings/load/", listings.listings_load, name="listings-load"),
    path("listings/<int:pk>/", listings.listing_edit, name="listing-edit"),
    path("listings/<int:pk>/end/", listings.listing_end, name="listing-end"),
    path("requests/<int:pk>/scan/", scanning.request_scan, name="request-scan"),
    path("requests/<int:pk>/scan/codes/", scanning.request_scan_codes, name="request-scan-codes"),
    path("requests/<int:pk>/scan/export.csv", scanning.request_scan_export, name="request-scan-export"),
    path("requests/<int:pk>/add/", basket.request_add, name="request-add"),
    path("requests/<int:pk>/take/", selection.request_take, name="request-take"),
    path("requests/<int:pk>/specimens/", basket.request_items, name="request-items"),
    path("requests/<int:pk>/specimens/export.csv", basket.request_items_csv, name="request-items-csv"),
    path("requests/<int:pk>/specimens/remove/", basket.request_item_remove, name="request-item-remove"),
    path("selection/", selection.desk_selection, name="desk-selection"),
]

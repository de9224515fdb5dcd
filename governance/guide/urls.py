"""Addresses of the guide."""

from django.urls import path

from governance.guide.views import help_pages, steps

app_name = "guide"

urlpatterns = [
    path("start/", steps.steps, name="steps"),
    path("start/panel/", steps.panel, name="panel"),
    path("start/<slug:first_step>/skip/", steps.skip, name="skip"),
    path("start/<slug:first_step>/take-up/", steps.take_up, name="take-up"),
    path("help/", help_pages.index, name="help"),
    path("help/findings/<slug:finding>/", help_pages.finding, name="help-finding"),
    path("help/layers/<slug:layer>/", help_pages.layer, name="help-layer"),
    path("help/verdicts/<slug:verdict>/", help_pages.verdict, name="help-verdict"),
    path("help/answers/<slug:answer>/", help_pages.answer, name="help-answer"),
]

"""The addresses of the room."""

from django.urls import path

from governance.plans.views import listing, notices, one_plan

app_name = "plans"
urlpatterns = [
    path("", listing.plan_list, name="plans"),
    path("<int:pk>/", one_plan.plan, name="plan"),
    path("<int:pk>/notices/new/", notices.plan_notice, name="plan-notice"),
    path("notices/<int:pk>/remove/", notices.notice_remove, name="notice-remove"),
]

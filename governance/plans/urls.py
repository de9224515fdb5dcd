"""The addresses of the room."""

from django.urls import path

from governance.plans.views import listing, one_plan

app_name = "plans"
urlpatterns = [
    path("", listing.plan_list, name="plans"),
    path("<int:pk>/", one_plan.plan, name="plan"),
]

"""The addresses of the room."""

from django.urls import path

from governance.search import views

app_name = "search"
urlpatterns = [
    path("search/", views.search_page, name="search"),
    path("search/suggest/", views.suggest, name="suggest"),
]

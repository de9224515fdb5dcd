"""The addresses of the room."""

app_name = "scans"
urlpatterns: list = []

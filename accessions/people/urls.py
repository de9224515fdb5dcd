"""The addresses of the room."""

from django.urls import path

from accessions.people.views import account, agents, people

app_name = "people"
urlpatterns = [
    path("sign-in/", account.sign_in, name="sign-in"),
    path("sign-out/", account.sign_out, name="sign-out"),
    path("account/", account.account, name="account"),
    path("account/password/", account.password, name="account-password"),
    path("account/appearance/", account.theme, name="account-theme"),
    path("account/language/", account.language, name="account-language"),
    path("account/roles/", account.roles, name="account-roles"),
    path("people/", people.people, name="people"),
    path("people/new/", people.person_new, name="person-new"),
    path("people/<int:pk>/", people.person, name="person"),
    path("people/<int:pk>/edit/", people.person_edit, name="person-edit"),
    path("people/<int:pk>/role/", people.person_role, name="person-role"),
    path("people/<int:pk>/password/", people.person_password, name="person-password"),
    path("people/<int:pk>/deactivate/", people.person_deactivate, name="person-deactivate"),
    path("people/<int:pk>/reactivate/", people.person_reactivate, name="person-reactivate"),
    path("agents/", agents.agents, name="agents"),
    path("agents/export.csv", agents.agents_export, name="agents-export"),
    path("agents/new/", agents.agent_new, name="agent-new"),
    path("agents/<int:pk>/", agents.agent, name="agent"),
    path("agents/<int:pk>/edit/", agents.agent_edit, name="agent-edit"),
    path("agents/<int:pk>/forms/", agents.form_add, name="agent-form-add"),
    path("agents/<int:pk>/forms/<int:form_pk>/remove/", agents.form_remove, name="agent-form-remove"),
]

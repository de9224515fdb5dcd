import pytest
from django.test import Client
from django.urls import reverse
from tests.factories import plans, register
pytestmark = pytest.mark.django_db
def test_pages():
    who = register.person("registrar")
    c = Client(raise_request_exception=True); c.force_login(who)
    s = plans.stop(); plans.target(s); plans.trap(s); p = s.plan; h = plans.way_home(p, from_country="SE")
    for name, a in [("plans",[]),("plans-csv",[]),("plan-new",[]),("plan-edit",[p.pk]),("plan-close",[p.pk]),("plan-copy",[p.pk]),("stop-new",[p.pk]),("stop-edit",[s.pk]),("stop-remove",[s.pk]),("home-new",[p.pk]),("home-edit",[h.pk]),("home-remove",[h.pk])]:
        r = c.get(reverse("plans:"+name, args=a)); assert r.status_code==200, name
        if not r.streaming: r.content
    r=c.post(reverse("plans:plan-new"),{"reference":"FP-2027-01","title":"X","language":"en"}); assert r.status_code==302, r.content.decode()
    r=c.post(reverse("plans:plan-edit",args=[p.pk]),{"reference":"FP-2027-02","title":"X","language":"en","uses":["morphology"],"what_if":"1"}); assert r.status_code==200
    d={"name":"A","site":"","country":"SE","position":"61.9, 15.3","radius_m":"200","first_on":"2027-06-03","last_on":"2027-06-04","methods":"hand net|kick net","people":"J. Ek","targets-TOTAL_FORMS":"2","targets-INITIAL_FORMS":"0","targets-0-name":"Trichoptera","targets-0-expected":"plenty","traps-TOTAL_FORMS":"1","traps-INITIAL_FORMS":"0"}
    r=c.post(reverse("plans:stop-new",args=[p.pk]),d|{"what_if":"1"}); assert r.status_code==200 and "Nothing is saved yet" in r.content.decode()
    assert p.stops.count()==1
    r=c.post(reverse("plans:stop-new",args=[p.pk]),d); assert r.status_code==302, r.content.decode()
    assert p.stops.count()==2
    r=c.post(reverse("plans:stop-edit",args=[s.pk]),d|{"area":"{"}); assert r.status_code==422; print(r.content.decode()[:3000])
    r=c.post(reverse("plans:stop-move",args=[s.pk]),{"to":"down"}); assert r.status_code==302
    r=c.post(reverse("plans:plan-copy",args=[p.pk]),{"reference":"Z","title":"T","by":"years","number":"1","papers":"in-force"}); assert r.status_code==302, r.content.decode()
    r=c.post(reverse("plans:stop-remove",args=[s.pk]),{}); assert r.status_code==302
    r=c.post(reverse("plans:home-remove",args=[h.pk]),{"what_if":1}); assert r.status_code==200
    r=c.post(reverse("plans:home-remove",args=[h.pk]),{}); assert r.status_code==302
    r=c.post(reverse("plans:plan-close",args=[p.pk]),{"why":"over"}); assert r.status_code==302
    r=c.get(reverse("plans:plans")+"?state=closed&q=x&year=2027&country=SE&sort=-stops"); assert r.status_code==200

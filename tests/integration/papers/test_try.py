import json, pytest
from pathlib import Path
from django.db import connection
from django.test.utils import CaptureQueriesContext
from governance.papers import actions, queries
from governance.papers.exchange import papers_from_bytes
from tests.factories import register as r
pytestmark = pytest.mark.django_db
DATA = Path("fixtures/lindmark_papers.json").read_bytes()
def test_it():
    by = r.person("registrar")
    for n in {a for p in json.loads(DATA)["papers"] for a in p["covers"]["accessions"]} - {"*"}: r.accession(n)
    from accessions.sites.models import Site
    for s in {a for p in json.loads(DATA)["papers"] for a in p["covers"]["sites"]}: r.site(s, name=s)
    for s in {a for p in json.loads(DATA)["papers"] for a in p["covers"]["events"]}: r.event(s)
    for s in {a for p in json.loads(DATA)["papers"] for a in p["covers"]["specimens"]}: r.specimen(s)
    with CaptureQueriesContext(connection, ) as c:
        out = actions.import_papers(DATA, "l.json", by=by, why="first")
    print(len(c), out.plan.unknown[:3], out.is_saved, len(out.added)); assert out.is_saved
    again = actions.import_papers(DATA, "l.json", by=by, why="again")
    assert [ (p.reference,p.differences) for p in again.plan.changed] == [] and len(again.plan.unchanged) == len(out.added)
    from governance.papers.models import Paper
    ex = queries.exchange_file(Paper.objects.order_by("pk"))
    a = papers_from_bytes(DATA, "f").papers; b = papers_from_bytes(ex, "f").papers
    assert len(a) == len(b)
    from dataclasses import replace
    for x, y in zip(a, b):
        y = replace(y, versions=tuple(sorted(y.versions, key=lambda v: v.from_day or 0)))
        x = replace(x, versions=tuple(sorted(x.versions, key=lambda v: v.from_day or 0)))
        assert x == y, (x, y)
    assert queries.engine_papers() == list(b)
    with CaptureQueriesContext(connection) as c: queries.engine_papers()
    print(len(c))

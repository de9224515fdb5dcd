import pytest
from django.db import connection
from governance.scans import words_index
from governance.scans.queries.searching import matching
from governance.scans.reading.wanted import phrases
from governance.scans.reading.folding import folded_words
from governance.scans.models import ScanPage
from tests.factories import scans
@pytest.mark.django_db
@pytest.mark.parametrize("ix",[0,1])
def test_x(ix):
    if ix: words_index.make(connection)
    s=scans.scan(b"x",stored=False)
    t="Autorización LND-2024-117 de la ﬁnca"
    p=ScanPage.objects.create(scan=s,number=1,text=t,folded=folded_words(t))
    f=lambda q: [x.number for x in matching(phrases(q))]
    assert f("autorizacion")==[1]; assert f("autor")==[1]; assert f("autor finca")==[]
    assert f('"lnd 2024"')==[1]; assert f('lnd-2024-1')==[1]; assert f('lnd-117')==[]; assert f("finca la")==[1]
    p.folded=" other "; p.save(); assert f("finca")==[]; assert f("oth")==[1]
    p.delete(); assert f("oth")==[]

import pytest
from django.core.files.uploadedfile import SimpleUploadedFile
from tests.factories import register, scans
pytestmark = pytest.mark.django_db(transaction=False)
def test_it(client):
    acc = register.accession(); site = register.site(); paper = register.paper()
    client.force_login(register.person())
    r = client.get(f"/accessions/{acc.pk}/"); assert r.status_code == 200
    r = client.get(f"/sites/{site.pk}/"); assert r.status_code == 200
    r = client.get(f"/papers/{paper.pk}/"); assert r.status_code == 200
    for url in (f"/scans/filing/accession/{acc.pk}/", f"/scans/filing/site/{site.pk}/", f"/papers/{paper.pk}/scans/"):
        r = client.post(url, {"files": [SimpleUploadedFile("a.pdf", scans.pdf(2)), SimpleUploadedFile("b.pdf", b"")]})
        print(r.status_code, r.content.decode()[-1500:])
        r = client.post(url, {"files": [SimpleUploadedFile("a.pdf", scans.pdf(3))]}); print(r.status_code, r.headers)
    from governance.scans.models import Scan, Filing
    print(Filing.objects.values())
    s = Scan.objects.first()
    r = client.get(f"/papers/scan-ranges/{s.pk}/"); print(r.status_code)
    for u in (f"/accessions/{acc.pk}/", f"/sites/{site.pk}/", f"/papers/{paper.pk}/"):
        print(client.get(u).status_code)

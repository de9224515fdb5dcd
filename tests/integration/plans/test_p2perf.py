import time
from datetime import date, timedelta
import pytest
from tests.integration.plans.test_advice import *
pytestmark = pytest.mark.django_db
def test_x(plan, django_assert_num_queries):
    for layer in (Layer.LAND, Layer.SPECIES, Layer.EXPORT): r.rule(CountrySheet.objects.get(country="SE"), layer, lead_days=30)
    ground = [[15.0, 61.5], [15.5, 61.5], [15.5, 62.4], [15.0, 62.4], [15.0, 61.5]]
    area = {"geojson": {"type": "Polygon", "coordinates": [ground]}, "boundary_error_m": 50}
    for n in range(40):
        start = date(2027,5,1)+timedelta(n)
        permit(plan, {"in_force_from": str(start), "in_force_to": str(start+timedelta(30)), "places":{"include":[area]},
          "people": {"named": ["J. Ek","M. Lind"]}, "methods":{"exclude":["light trap"]} if n%2 else {}, "closed_seasons":[["06-20","06-25"]] if n%3==0 else [],
          "caps":[{"each":"together","per":"paper","limit":500}] if n%5==0 else [], "conditions":[{"text":"x","notice_days":7}]}, reference=f"COL-{n}", layers=["collecting","land"] if n%2 else ["species","collecting"])
    permit(plan, {"in_force_from": "2027-06-01", "in_force_to": "2027-06-30"}, reference="EXP", layers=["export"], kind="export-permit")
    f.way_home(plan, exported_on="2027-07-20", imported_on="2027-07-22")
    for n in range(60):
        start = date(2027,5,10)+timedelta(n)
        s = f.stop(plan, name=f"S{n}", longitude_deg=15.0+0.01*n, latitude_deg=61.6+0.01*(n%10), radius_m=500, first_on=start, last_on=start+timedelta(4), methods="hand net | light trap", people="J. Ek | S. Aldrin | M. Lind")
        f.trap(s, last_on=start+timedelta(30))
        for t in ("Odonata","Trichoptera","Plecoptera"): f.target(s,t,expected="20")
    t0=time.perf_counter(); c=checked(plan); t1=time.perf_counter(); a=advise(c); t2=time.perf_counter(); a=advise(c); t3=time.perf_counter()
    import cProfile,pstats
    p=cProfile.Profile(); p.enable(); advise(c); p.disable()
    print("check",t1-t0,"advise",t2-t1, t3-t2, len(a), len(c.rows), sum(x.needs_look for x in c.cells.values()))
    import collections; print(collections.Counter(x.code for x in a))
    for x in a[:40]: print(x.code, x.sentence[:200], len(x.stops), x.layers)
    pstats.Stats(p).sort_stats("cumulative").print_stats(30)
    from governance.plans.advice import advising
    cases=advising._cases(c); print("cases",len(cases)); ch=[k for case in cases for kind in advising._KINDS for k in kind(case)]
    rows=[row for k in ch for pr in k for row in pr.rows]; print("choices",len(ch),"rows",len(rows),"distinct",len(set(rows)))
    print(collections.Counter(kind.__name__ for case in cases for kind in advising._KINDS for k in kind(case) for pr in k for r_ in pr.rows))
    assert 0

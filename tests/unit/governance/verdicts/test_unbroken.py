"""Words that stay on one line, and nothing that a person wrote becomes markup."""

from __future__ import annotations

import pytest

from governance.verdicts.templatetags.verdicts import unbroken


@pytest.mark.parametrize(
    ("sentence", "shown"),
    [
        ("its limit of SPC-2019-031.", 'its limit of <span class="nowrap">SPC-2019-031.</span>'),
        ("well-known name", "well-known name"),
        ("<b>A-1</b>", '<span class="nowrap">&lt;b&gt;A-1&lt;/b&gt;</span>'),
        ("a & b", "a &amp; b"),
        ("", ""),
    ],
)
def test_references_stay_whole(sentence: str, shown: str) -> None:
    assert unbroken(sentence) == shown

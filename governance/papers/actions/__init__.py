"""What people do with papers: register, correct, link, take from a file."""

from governance.papers.actions.importing import (
    ImportOutcome,
    import_papers,
    preview_import,
    receive_file,
    take_file,
)
from governance.papers.actions.linking import Targets, link, unlink
from governance.papers.actions.locking import ChangedMeanwhileError
from governance.papers.actions.offers import ReadFrom, saved_from_scan, set_pages
from governance.papers.actions.registering import (
    add_status,
    add_version,
    amend_version,
    edit_face,
    register,
    remove_status,
    remove_version,
)

__all__ = [
    "ChangedMeanwhileError",
    "ImportOutcome",
    "ReadFrom",
    "Targets",
    "add_status",
    "add_version",
    "amend_version",
    "edit_face",
    "import_papers",
    "link",
    "preview_import",
    "receive_file",
    "register",
    "remove_status",
    "remove_version",
    "saved_from_scan",
    "set_pages",
    "take_file",
    "unlink",
]

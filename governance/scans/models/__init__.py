"""Scans: one row a content, its pages, its marks, where it is filed, and uploads that go on."""

from governance.scans.models.filing import FiledAs, FiledScan, Filing
from governance.scans.models.scan import Scan, ScanMark, ScanPage
from governance.scans.models.upload import Upload

__all__ = ["FiledAs", "FiledScan", "Filing", "Scan", "ScanMark", "ScanPage", "Upload"]

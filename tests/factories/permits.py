"""Permits of invented authorities as scans: clean, photographed askew, noisy, stamped over; with the truth beside each.

In five languages and two layouts (a form of labels and values; a letter). The same files for the same arguments. The
words were written for these tests, by hand, together with what a person reads in them; nobody's real permit was used.
Everything is invented.
"""

from __future__ import annotations

import io
import random
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from time import gmtime
from typing import Final

import pypdfium2
from PIL import Image, ImageDraw, ImageFilter, ImageFont
from reportlab.lib.pagesizes import A4
from reportlab.pdfbase.pdfmetrics import stringWidth
from reportlab.pdfgen.canvas import Canvas

KINDS: Final = (
    "digital", "picture-300", "skewed-300", "noisy-150", "stamped-300", "covered-300", "ambiguous", "two-digit-year",
)  # fmt: skip
"""How a permit comes: the file itself, a clean picture of 300 dots an inch, one turned by two degrees, one of 150 dots
an inch with noise, one with a stamp over its last day, one with correction fluid over the first figure of that day (so
that what is left reads as another day), and digital ones whose dates leave something open."""

_LEFT, _TOP, _STEP = 64, 780, 19


@dataclass(frozen=True)
class Permit:
    """What stands on a permit, and what is true of it.

    lines: from above; "" is a gap; "# ..." a heading; two texts with ``|`` between stand far apart on one line.
    truth: by field what may be offered; a field that is absent must not be offered.
    last_day: words of the line that holds the last day, for the stamp. days: its days as other kinds write them.
    """

    language: str
    layout: str
    lines: tuple[str, ...]
    truth: Mapping[str, str | tuple[str, ...]]
    last_day: str
    issued: str = ""

    @property
    def name(self) -> str:
        return f"{self.language}-{self.layout}"


PERMITS: Final = (
    Permit("en", "form", (
        "# Nazvri Directorate of Environment", "COLLECTING PERMIT", "",
        "Permit No. COL-2024-052 | File no: NDE/2024/771",
        "Country: Georgia", "Holder: J. Ek", "Date of issue: 6 May 2024", "Valid from: 20 May 2024",
        "Valid until: 31 August 2024", "", "Species: Cordulegaster picta, Onychogomphus forcipatus",
        "Permitted methods: hand net, kick net, light trap", "", "# Conditions",
        "1. Large mussels are to be returned to the water at once.",
        "2. A list of all specimens is sent to the Directorate",
        "within three months of the last day of collecting.",
        "3. The permit is carried in the field and shown on request.",
    ), {
        "reference": "COL-2024-052", "second_number": "NDE/2024/771", "issuer": "Nazvri Directorate of Environment",
        "jurisdiction": "GE", "holder": "J. Ek", "issued_on": "2024-05-06", "in_force_from": "2024-05-20",
        "in_force_to": "2024-08-31", "taxa": ("Cordulegaster picta", "Onychogomphus forcipatus"),
        "methods": ("hand net", "kick net", "light trap"), "conditions": (
            "Large mussels are to be returned to the water at once.",
            "A list of all specimens is sent to the Directorate within three months of the last day of collecting.",
            "The permit is carried in the field and shown on request."),
    }, "Valid until: 31 August 2024", "Date of issue: 6 May 2024"),
    Permit("en", "letter", (
        "# Sundvik Nature Office", "Licence number: SPC-2019-031", "", "Dear Ms Holmqvist,", "",
        "In answer to your application of 12 June 2019 we grant the Lindmark Museum a licence",
        "to take Unio crassus and Margaritifera margaritifera at the two sites named in the annex.",
        "This licence is valid from 12 August to 31 December 2019.",
        "It replaces licence no. SPC-2018-007 of 3 May 2018.", "",
        "# Conditions", "a) No more than ten shells are taken at one site.",
        "b) Living animals stay where they are.", "",
        "Issued on 5 August 2019", "Sundvik Nature Office",
    ), {
        "reference": "SPC-2019-031", "issuer": "Sundvik Nature Office", "issued_on": "2019-08-05",
        "in_force_from": "2019-08-12", "in_force_to": "2019-12-31",
        "conditions": ("No more than ten shells are taken at one site.", "Living animals stay where they are."),
    }, "This licence is valid from 12 August to 31 December 2019.", "Issued on 5 August 2019"),
    Permit("es", "form", (
        "# Oficina de Vida Silvestre de Las Lapas", "PERMISO DE COLECTA", "",
        "Permiso N.º CR-2026-061 | Expediente: 45/2026",
        "País: Costa Rica", "Titular: J. Ek", "Fecha de emisión: 22 de enero de 2026",
        "Válido desde: 1 de febrero de 2026", "Válido hasta: 28 de febrero de 2026", "",
        "Especies: Agalychnis callidryas, Oophaga pumilio", "Métodos autorizados: red de mano, trampa de luz", "",
        "# Condiciones", "1. La colecta se hace solo de día.",
        "2. El titular presenta un informe antes del fin del año.",
    ), {
        "reference": "CR-2026-061", "second_number": "45/2026", "issuer": "Oficina de Vida Silvestre de Las Lapas",
        "jurisdiction": "CR", "holder": "J. Ek", "issued_on": "2026-01-22", "in_force_from": "2026-02-01",
        "in_force_to": "2026-02-28", "taxa": ("Agalychnis callidryas", "Oophaga pumilio"),
        "methods": ("red de mano", "trampa de luz"), "conditions": (
            "La colecta se hace solo de día.", "El titular presenta un informe antes del fin del año."),
    }, "Válido hasta: 28 de febrero de 2026", "Fecha de emisión: 22 de enero de 2026"),
    Permit("es", "letter", (
        "# Dirección de Bosques de Quebrada Honda", "Resolución N.º DB-118-2023", "",
        "Vista la solicitud del 9 de enero de 2023, se autoriza a O. Rask a colectar anfibios",
        "en la finca Las Lapas. La presente autorización es válida del 1 de marzo al 30 de junio de 2023.", "",
        "# Condiciones", "a) No se colectan hembras con huevos.", "b) Se entrega una copia de los datos.", "",
        "Dado en Quebrada Honda, el 14 de febrero de 2023.",
    ), {
        "reference": "DB-118-2023", "issuer": "Dirección de Bosques de Quebrada Honda", "issued_on": "2023-02-14",
        "in_force_from": "2023-03-01", "in_force_to": "2023-06-30",
        "conditions": ("No se colectan hembras con huevos.", "Se entrega una copia de los datos."),
    }, "en la finca Las Lapas. La presente autorización es válida del 1 de marzo al 30 de junio de 2023.",
        "Dado en Quebrada Honda, el 14 de febrero de 2023."),
    Permit("fr", "form", (
        "# Direction de la Faune de Mbéli", "PERMIS DE COLLECTE", "", "Permis n° 2024/118 | Dossier : F-77",
        "Pays : Gabon", "Titulaire : I. Holmqvist", "Date de délivrance : 5 juin 2024",
        "Valable à partir du 10 juin 2024", "Valable jusqu’au 15 septembre 2024", "",
        "Espèces : Potamonautes ballayi, Macrobrachium vollenhovenii", "Méthodes autorisées : filet à main, nasse", "",
        "# Conditions", "1. Les femelles ovigères sont remises à l’eau.",
        "2. Un rapport est remis avant la fin de l’année.",
    ), {
        "reference": "2024/118", "second_number": "F-77", "issuer": "Direction de la Faune de Mbéli",
        "jurisdiction": "GA", "holder": "I. Holmqvist", "issued_on": "2024-06-05", "in_force_from": "2024-06-10",
        "in_force_to": "2024-09-15", "taxa": ("Potamonautes ballayi", "Macrobrachium vollenhovenii"),
        "methods": ("filet à main", "nasse"), "conditions": (
            "Les femelles ovigères sont remises à l’eau.", "Un rapport est remis avant la fin de l’année."),
    }, "Valable jusqu’au 15 septembre 2024", "Date de délivrance : 5 juin 2024"),
    Permit("fr", "letter", (
        "# Bureau des Recherches d’Okarou", "Autorisation n° BR-09-2021", "",
        "Suite à votre lettre du 2 février 2021, nous autorisons M. Ek à récolter des libellules",
        "sur la rive du fleuve. L’autorisation est valable du 1er avril au 31 mai 2021.",
        "Elle remplace le permis n° BR-04-2020, délivré le 3 mars 2020.", "",
        "Fait à Okarou, le 18 mars 2021",
    ), {
        "reference": "BR-09-2021", "issuer": "Bureau des Recherches d’Okarou", "issued_on": "2021-03-18",
        "in_force_from": "2021-04-01", "in_force_to": "2021-05-31",
    }, "sur la rive du fleuve. L’autorisation est valable du 1er avril au 31 mai 2021.",
        "Fait à Okarou, le 18 mars 2021"),
    Permit("pt", "form", (
        "# Instituto da Biodiversidade de Serra Nova", "LICENÇA DE COLETA", "",
        "Licença n.º 77-B/2024 | Processo: 0001.2024",
        "País: Moçambique", "Titular: J. Ek", "Data de emissão: 9 de março de 2024",
        "Válida a partir de 1º de abril de 2024",
        "Válida até 30 de setembro de 2024", "", "Espécies: Unio pictorum, Anodonta cygnea",
        "Métodos autorizados: rede manual, draga", "", "# Condições", "1. As conchas vazias podem ser levadas.",
        "2. Um relatório é entregue em três meses.",
    ), {
        "reference": "77-B/2024", "second_number": "0001.2024", "issuer": "Instituto da Biodiversidade de Serra Nova",
        "jurisdiction": "MZ", "holder": "J. Ek", "issued_on": "2024-03-09", "in_force_from": "2024-04-01",
        "in_force_to": "2024-09-30", "taxa": ("Unio pictorum", "Anodonta cygnea"), "methods": ("rede manual", "draga"),
        "conditions": ("As conchas vazias podem ser levadas.", "Um relatório é entregue em três meses."),
    }, "Válida até 30 de setembro de 2024", "Data de emissão: 9 de março de 2024"),
    Permit("pt", "letter", (
        "# Secretaria de Pesca de Rio Claro", "Autorização n.º SP-31/2022", "",
        "Em resposta ao pedido de 4 de abril de 2022, autorizamos a coleta de moluscos no rio.",
        "A autorização é válida de 1 de junho a 31 de agosto de 2022.", "", "# Condições",
        "a) A coleta é feita à mão.", "b) Os animais vivos são devolvidos.", "", "Emitida em 20 de maio de 2022",
    ), {
        "reference": "SP-31/2022", "issuer": "Secretaria de Pesca de Rio Claro", "issued_on": "2022-05-20",
        "in_force_from": "2022-06-01", "in_force_to": "2022-08-31",
        "conditions": ("A coleta é feita à mão.", "Os animais vivos são devolvidos."),
    }, "A autorização é válida de 1 de junho a 31 de agosto de 2022.", "Emitida em 20 de maio de 2022"),
    Permit("de", "form", (
        "# Landesamt für Gewässer Ostrau", "SAMMELGENEHMIGUNG", "", "Genehmigung Nr. 12-345/24 | Aktenzeichen: 7-88.1",
        "Staat: Deutschland", "Inhaberin: I. Holmqvist", "Ausgestellt am 5. März 2024", "Gültig ab 1. April 2024",
        "Gültig bis 31. Oktober 2024", "", "Arten: Astacus astacus, Austropotamobius torrentium",
        "Zulässige Methoden: Handnetz, Reuse", "", "# Auflagen", "1. Jungtiere werden sofort zurückgesetzt.",
        "2. Ein Bericht ist bis Jahresende vorzulegen.",
    ), {
        "reference": "12-345/24", "second_number": "7-88.1", "issuer": "Landesamt für Gewässer Ostrau",
        "jurisdiction": "DE", "holder": "I. Holmqvist", "issued_on": "2024-03-05", "in_force_from": "2024-04-01",
        "in_force_to": "2024-10-31", "taxa": ("Astacus astacus", "Austropotamobius torrentium"),
        "methods": ("Handnetz", "Reuse"), "conditions": (
            "Jungtiere werden sofort zurückgesetzt.", "Ein Bericht ist bis Jahresende vorzulegen."),
    }, "Gültig bis 31. Oktober 2024", "Ausgestellt am 5. März 2024"),
    Permit("de", "letter", (
        "# Forstdirektion Hohenried", "Erlaubnis Nr. FD-2020-44", "",
        "Auf Ihren Antrag vom 7. Januar 2020 erlauben wir das Sammeln von Totholzkäfern im Revier.",
        "Die Erlaubnis ist gültig vom 1. Mai bis zum 30. September 2020.",
        "Sie ersetzt die Erlaubnis Nr. FD-2019-12, erteilt am 2. Mai 2019.", "", "# Nebenbestimmungen",
        "a) Lebende Bäume werden nicht beschädigt.", "b) Die Fundorte werden gemeldet.", "",
        "Hohenried, Datum der Ausstellung: 12. Februar 2020",
    ), {
        "reference": "FD-2020-44", "issuer": "Forstdirektion Hohenried", "issued_on": "2020-02-12",
        "in_force_from": "2020-05-01", "in_force_to": "2020-09-30",
        "conditions": ("Lebende Bäume werden nicht beschädigt.", "Die Fundorte werden gemeldet."),
    }, "Die Erlaubnis ist gültig vom 1. Mai bis zum 30. September 2020.",
        "Hohenried, Datum der Ausstellung: 12. Februar 2020"),
)  # fmt: skip

_OPEN: Final = {"ambiguous": "05/06/2024", "two-digit-year": "25.06.24"}


def of_kind(permit: Permit, kind: str) -> Permit:
    """The permit as that kind writes its day of issue, with its truth: what is open is not offered."""
    if kind not in _OPEN:
        return permit
    cue = permit.issued.split(":")[0].rstrip("0123456789 ") if ":" in permit.issued else _before_figure(permit.issued)
    line = f"{cue}{': ' if ':' in permit.issued else ' '}{_OPEN[kind]}"
    lines = tuple(line if one == permit.issued else one for one in permit.lines)
    return replace(permit, lines=lines, truth={k: v for k, v in permit.truth.items() if k != "issued_on"}, issued=line)


def _before_figure(line: str) -> str:
    return line[: next(place for place, sign in enumerate(line) if sign.isdigit())].rstrip()


def digital(permits: Sequence[Permit], pages_each: int = 1) -> bytes:
    """A PDF with words of its own; further pages of a permit hold an annex without anything that is offered."""
    file = io.BytesIO()
    drawn = Canvas(file, pagesize=A4, invariant=1, pageCompression=1)
    for permit in permits:
        draw(drawn, permit.lines, page=1, of=pages_each)
        for number in range(2, pages_each + 1):
            draw(drawn, annex(number), page=number, of=pages_each)
    drawn.save()
    return file.getvalue()


def annex(number: int) -> tuple[str, ...]:
    """A page of a table of localities, as annexes have them."""
    rows = random.Random(number)
    return (f"# Annex {number - 1}", "Locality | Remarks", *(
        f"Stream {chr(65 + row % 26)}{rows.randrange(10, 99)} | reach of {rows.randrange(1, 9)} km, left bank"
        for row in range(22)
    ))  # fmt: skip


def draw(drawn: Canvas, lines: Sequence[str], *, page: int, of: int) -> None:
    """One page of a PDF."""
    at = _TOP
    for line in lines:
        is_heading = line.startswith("# ")
        drawn.setFont("Times-Bold" if is_heading else "Times-Roman", 15 if is_heading else 12)
        for place, text in zip((_LEFT, 330), line.removeprefix("# ").split(" | "), strict=False):
            drawn.drawString(place, at, text)
        at -= _STEP + (6 if is_heading else 0)
    drawn.setFont("Times-Roman", 9)
    if of > 1:
        drawn.drawString(_LEFT, 40, f"Page {page} of {of}")
    drawn.showPage()


def picture(permit: Permit, kind: str = "picture-300") -> Image.Image:
    """The first page as a scanner or a camera gives it."""
    dots = 150 if kind.endswith("150") else 300
    with pypdfium2.PdfDocument(digital([permit])) as document:
        drawn: Image.Image = document[0].render(scale=dots / 72, grayscale=True).to_pil()
    if kind.startswith("skewed"):
        return drawn.rotate(2.0, resample=Image.Resampling.BICUBIC, fillcolor=255)
    if kind.startswith("noisy"):
        return _noisy(drawn)
    if kind.startswith("covered"):
        return _covered(drawn, permit, dots)
    return _stamped(drawn, permit, dots) if kind.startswith("stamped") else drawn


def _covered(drawn: Image.Image, permit: Permit, dots: int) -> Image.Image:
    """The first figure of the last day under correction fluid."""
    at = _last_figure(permit.last_day)
    left, right = (stringWidth(permit.last_day[:end], "Times-Roman", 12) for end in (at, at + 1))
    base = A4[1] - _TOP + sum(_STEP + (6 if line.startswith("# ") else 0) for line in permit.lines[: _row(permit)])
    box = [
        (_LEFT + left - 0.5) * dots / 72,
        (base - 11) * dots / 72,
        (_LEFT + right) * dots / 72,
        (base + 3) * dots / 72,
    ]
    ImageDraw.Draw(drawn).rectangle(box, fill=255)
    return drawn


def _row(permit: Permit) -> int:
    return permit.lines.index(permit.last_day)


def _noisy(drawn: Image.Image) -> Image.Image:
    """Paper that is not white, letters that are not sharp, grains."""
    grains = random.Random(7)
    soft = drawn.filter(ImageFilter.GaussianBlur(0.6)).point(lambda value: 30 + value * 200 // 255)
    for _grain in range(soft.width * soft.height // 60):
        place = grains.randrange(soft.width), grains.randrange(soft.height)
        value = soft.getpixel(place)
        soft.putpixel(place, max(0, min(255, int(value) + grains.choice((-90, 60)))))  # type: ignore[arg-type]
    return soft


def _stamped(drawn: Image.Image, permit: Permit, dots: int) -> Image.Image:
    """A round stamp over the figures of the last day."""
    number = permit.lines.index(permit.last_day)
    above = sum(_STEP + (6 if line.startswith("# ") else 0) for line in permit.lines[:number])
    font = ImageFont.load_default(12)
    width = font.getlength(permit.last_day[: _last_figure(permit.last_day)]) * 0.92
    x, y = (_LEFT + width) * dots / 72, (A4[1] - _TOP + above - 4) * dots / 72
    stamp = ImageDraw.Draw(drawn)
    radius = 34 * dots / 72
    for ring in (1.0, 0.82):
        box = [x - radius * ring, y - radius * ring, x + radius * ring, y + radius * ring]
        stamp.ellipse(box, outline=40, width=dots // 60)
    for turn in range(-3, 4):
        stamp.line([x - radius * 0.8, y + turn * 9 * dots / 300, x + radius * 0.8, y + (turn - 2) * 9 * dots / 300],
                   fill=50, width=dots // 70)  # fmt: skip
    return drawn


def _last_figure(line: str) -> int:
    """Where the last day begins in a line: its day of one or two figures."""
    figures = [place for place, sign in enumerate(line) if sign.isdigit()]
    runs = [place for place in figures if place - 1 not in figures]
    return runs[-2] if len(runs) > 1 else runs[-1]


def as_pdf(image: Image.Image) -> bytes:
    """A picture in a PDF, as a scanner writes it."""
    file = io.BytesIO()
    image.convert("L").save(file, "PDF", resolution=image.width / A4[0] * 72, quality=70,
                            creationDate=gmtime(0), modDate=gmtime(0))  # fmt: skip
    return file.getvalue()


def scan_of(permit: Permit, kind: str) -> bytes:
    """The PDF of a permit of a kind."""
    mine = of_kind(permit, kind)
    return digital([mine]) if kind in ("digital", *_OPEN) else as_pdf(picture(mine, kind))


def all_scans(kinds: Sequence[str] = KINDS) -> Iterator[tuple[Permit, str, bytes]]:
    """Every permit in every kind, with its truth."""
    for kind in kinds:
        for permit in PERMITS:
            yield of_kind(permit, kind), kind, scan_of(permit, kind)

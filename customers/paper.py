"""Papers other than tickets: one HTML page in one print style made a PDF."""

from django.http import HttpResponse


def render_paper(html: str, style: str) -> bytes:
    """The PDF of a whole HTML page in the style of a static file, such as ``print/history.css``."""
    # WeasyPrint takes a second to load, and most commands and pages never print.
    from weasyprint import CSS, HTML  # noqa: PLC0415
    from weasyprint.text.fonts import FontConfiguration  # noqa: PLC0415

    from customers.closed_fetcher import ClosedFetcher  # noqa: PLC0415

    fetcher, fonts = ClosedFetcher(), FontConfiguration()
    printed = CSS(url=f"static:{style}", url_fetcher=fetcher, font_config=fonts)
    page = HTML(string=html, url_fetcher=fetcher)
    pdf: bytes = page.write_pdf(stylesheets=[printed], font_config=fonts)
    return pdf


def answer_paper(pdf: bytes, name: str) -> HttpResponse:
    """The PDF shown in the browser under that name."""
    headers = {"Content-Disposition": f'inline; filename="{name}.pdf"'}
    return HttpResponse(pdf, content_type="application/pdf", headers=headers)

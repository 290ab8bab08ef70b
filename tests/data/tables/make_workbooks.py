"""Writes gauging.xlsx, gauging.ods and apart.xlsx (the wells on one sheet, the depths on the other): one invented round of three wells with a merged title, a row of units, a blank
row, date cells, a formula with its value, and a note below; and a sheet of other text. Python's standard library only."""
import zipfile

WELLS = [("MW-1", 523310.21, 1514102.55, 98.62, 9.41, 8, 5), ("MW-2", 523398.44, 1514088.1, 98.1, 9.02, 8, 12),
         ("MW-3", 523441.9, 1514041.37, 97.44, 8.71, 8, 20)]
DAY = 45944  # 2025-10-14 as a day number

def t(ref, text): return f'<c r="{ref}" t="inlineStr"><is><t>{text}</t></is></c>'
def n(ref, value, style=0): return f'<c r="{ref}" s="{style}"><v>{value!r}</v></c>'
def f(ref, formula, value): return f'<c r="{ref}"><f>{formula}</f><v>{value!r}</v></c>'

HEAD = ["Well", "Easting", "Northing", "TOC", "DTW", "Date", "Time", "GW Elevation"]
UNITS = ["", "(ft)", "(ft)", "(ft NAVD88)", "(ft btoc)", "", "", "(ft NAVD88)"]
rows = [(1, t("A1", "Station 14, 4th quarter 2025"))]
rows.append((3, "".join(t(f"{'ABCDEFGH'[i]}3", h) for i, h in enumerate(HEAD))))
rows.append((4, "".join(t(f"{'ABCDEFGH'[i]}4", u) for i, u in enumerate(UNITS) if u)))
for i, (w, e, no, toc, dtw, hour, minute) in enumerate(WELLS):
    r = 6 + i
    rows.append((r, t(f"A{r}", w) + n(f"B{r}", e) + n(f"C{r}", no) + n(f"D{r}", toc) + n(f"E{r}", dtw) + n(f"F{r}", DAY, 1)
                 + n(f"G{r}", (hour * 60 + minute) / 1440, 2) + f(f"H{r}", f"D{r}-E{r}", toc - dtw)))
rows.append((10, t("A10", "Notes: TOC = top of casing")))
sheet = ('<?xml version="1.0" encoding="UTF-8"?><worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
         '<sheetData>' + "".join(f'<row r="{r}">{c}</row>' for r, c in rows)
         + '</sheetData><mergeCells count="1"><mergeCell ref="A1:H1"/></mergeCells></worksheet>')
cover = ('<?xml version="1.0" encoding="UTF-8"?><worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main">'
         '<sheetData><row r="1">' + t("A1", "Invented data") + '</row></sheetData></worksheet>')
parts = {
    "[Content_Types].xml": '<?xml version="1.0" encoding="UTF-8"?><Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="xml" ContentType="application/xml"/><Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/><Override PartName="/xl/worksheets/sheet1.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/><Override PartName="/xl/worksheets/sheet2.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/><Override PartName="/xl/styles.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.styles+xml"/></Types>',
    "_rels/.rels": '<?xml version="1.0" encoding="UTF-8"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument" Target="xl/workbook.xml"/></Relationships>',
    "xl/workbook.xml": '<?xml version="1.0" encoding="UTF-8"?><workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheets><sheet name="Cover" sheetId="1" r:id="rId1"/><sheet name="Gauging" sheetId="2" r:id="rId2"/></sheets></workbook>',
    "xl/_rels/workbook.xml.rels": '<?xml version="1.0" encoding="UTF-8"?><Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet1.xml"/><Relationship Id="rId2" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet2.xml"/><Relationship Id="rId3" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/styles" Target="styles.xml"/></Relationships>',
    "xl/styles.xml": '<?xml version="1.0" encoding="UTF-8"?><styleSheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><fonts count="1"><font/></fonts><fills count="1"><fill/></fills><borders count="1"><border/></borders><cellStyleXfs count="1"><xf/></cellStyleXfs><cellXfs count="3"><xf numFmtId="0"/><xf numFmtId="14" applyNumberFormat="1"/><xf numFmtId="20" applyNumberFormat="1"/></cellXfs></styleSheet>',
    "xl/worksheets/sheet1.xml": cover, "xl/worksheets/sheet2.xml": sheet,
}
def write(name, parts):
    with zipfile.ZipFile(name, "w", zipfile.ZIP_DEFLATED) as z:
        for path, text in parts.items():
            z.writestr(zipfile.ZipInfo(path, (2025, 10, 14, 0, 0, 0)), text)
write("gauging.xlsx", parts)

wells = [["Well", "Easting", "Northing", "TOC (ft)"]] + [[w, e, no, toc] for w, e, no, toc, *_ in WELLS]
levels = [["Well", "Date", "DTW (ft)"]] + [[w, DAY, dtw] for w, _, _, _, dtw, *_ in WELLS]
def simple(rows):
    cell = lambda r, i, x: t(f"{'ABCD'[i]}{r}", x) if isinstance(x, str) else n(f"{'ABCD'[i]}{r}", x, 1 if x == DAY else 0)
    body = "".join(f'<row r="{r}">' + "".join(cell(r, i, x) for i, x in enumerate(row)) + '</row>' for r, row in enumerate(rows, 1))
    return sheet[:sheet.index("<sheetData>")] + f"<sheetData>{body}</sheetData></worksheet>"
write("apart.xlsx", {**parts, "xl/workbook.xml": parts["xl/workbook.xml"].replace("Cover", "Levels").replace("Gauging", "Wells"),
    "xl/worksheets/sheet1.xml": simple(levels), "xl/worksheets/sheet2.xml": simple(wells)})

def s(text): return f'<table:table-cell office:value-type="string"><text:p>{text}</text:p></table:table-cell>' if text else '<table:table-cell/>'
def v(value, formula=""): return f'<table:table-cell office:value-type="float" office:value="{value!r}"{formula}><text:p>{value!r}</text:p></table:table-cell>'
orows = ['<table:table-row><table:table-cell office:value-type="string" table:number-columns-spanned="8"><text:p>Station 14, 4th quarter 2025</text:p></table:table-cell><table:covered-table-cell table:number-columns-repeated="7"/></table:table-row>',
         '<table:table-row><table:table-cell table:number-columns-repeated="8"/></table:table-row>',
         '<table:table-row>' + "".join(map(s, HEAD)) + '</table:table-row>', '<table:table-row>' + "".join(map(s, UNITS)) + '</table:table-row>',
         '<table:table-row><table:table-cell table:number-columns-repeated="8"/></table:table-row>']
for w, e, no, toc, dtw, hour, minute in WELLS:
    orows.append('<table:table-row>' + s(w) + v(e) + v(no) + v(toc) + v(dtw)
                 + '<table:table-cell office:value-type="date" office:date-value="2025-10-14"><text:p>10/14/25</text:p></table:table-cell>'
                 + f'<table:table-cell office:value-type="time" office:time-value="PT{hour:02}H{minute:02}M00S"><text:p>{hour}:{minute:02}</text:p></table:table-cell>'
                 + v(toc - dtw, ' table:formula="of:=[.D6]-[.E6]"') + '</table:table-row>')
orows += ['<table:table-row><table:table-cell table:number-columns-repeated="8"/></table:table-row>', '<table:table-row>' + s("Notes: TOC = top of casing") + '</table:table-row>']
content = ('<?xml version="1.0" encoding="UTF-8"?><office:document-content xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0" xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0" xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0" xmlns:of="urn:oasis:names:tc:opendocument:xmlns:of:1.2" office:version="1.2"><office:body><office:spreadsheet>'
           '<table:table table:name="Cover"><table:table-row>' + s("Invented data") + '</table:table-row></table:table><table:table table:name="Gauging">' + "".join(orows) + '</table:table></office:spreadsheet></office:body></office:document-content>')
write("gauging.ods", {"mimetype": "application/vnd.oasis.opendocument.spreadsheet", "content.xml": content,
    "META-INF/manifest.xml": '<?xml version="1.0" encoding="UTF-8"?><manifest:manifest xmlns:manifest="urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"><manifest:file-entry manifest:full-path="/" manifest:media-type="application/vnd.oasis.opendocument.spreadsheet"/><manifest:file-entry manifest:full-path="content.xml" manifest:media-type="text/xml"/></manifest:manifest>'})

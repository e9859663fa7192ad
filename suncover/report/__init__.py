"""The report: one page for a household and its engineer, and every picture of it alone.

    Site ──> gather.gather_report ──> ReportData     everything as plain arrays and tables
                       │
                       ├─> one module a picture ──> Figure     SVG of our own, with its table
                       └─> page.report_page ──────> the page   one file, no network

A picture is drawn from the data alone, so that a test can hold it to the data, and the data to the
stages that made them.
"""

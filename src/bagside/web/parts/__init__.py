"""What pages are put together from: the sheet, controls, findings, marks, the thread."""

"""A range of boxes from one spec and one table: a booklet for each row, a sheet of totals, and the rows that were refused."""

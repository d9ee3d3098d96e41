-- A sheet of labels that is in no list, by the measures the shop took of it.

CREATE TABLE own_label_sheet (
    -- One shop has one such sheet.
    id              INTEGER NOT NULL PRIMARY KEY,
    paper_width_mm  REAL    NOT NULL,
    paper_height_mm REAL    NOT NULL,
    columns         INTEGER NOT NULL,
    rows            INTEGER NOT NULL,
    width_mm        REAL    NOT NULL,
    height_mm       REAL    NOT NULL,
    left_mm         REAL    NOT NULL,
    top_mm          REAL    NOT NULL,
    -- From one label to the next. Absent: there is one column, or one row.
    across_mm       REAL,
    down_mm         REAL,
    -- Of a self-laminating wrap: how much of its height takes print.
    print_mm        REAL,
    CONSTRAINT own_label_sheet_is_one CHECK (id = 1)
) STRICT;

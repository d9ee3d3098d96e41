-- How the shop words its labels; the boards of a job, and what is mounted on them.

CREATE TABLE label_setting (
    -- One database is one shop: there is one row once somebody changed anything.
    id      INTEGER NOT NULL PRIMARY KEY,
    version INTEGER NOT NULL DEFAULT 1,
    rule    TEXT    NOT NULL,
    -- The sheet the shop has in its printer.
    stock   TEXT    NOT NULL,
    -- What the codes on labels lead to; absent: whatever address the browser used.
    address TEXT,
    CONSTRAINT label_setting_is_one CHECK (id = 1)
) STRICT;

CREATE TABLE boards (
    job          INTEGER NOT NULL,
    id           TEXT    NOT NULL,
    rank         INTEGER NOT NULL,
    version      INTEGER NOT NULL DEFAULT 1,
    name         TEXT    NOT NULL,
    location        TEXT    NOT NULL,
    width_mm     REAL    NOT NULL,
    height_mm    REAL    NOT NULL,
    -- Absent: the parts go on the laminate itself.
    thickness_mm REAL,
    -- Absent: nothing stands right behind the board, or it is not known.
    laminate_mm  REAL,
    PRIMARY KEY (job, id),
    CONSTRAINT boards_rank_once UNIQUE (job, rank),
    CONSTRAINT boards_job FOREIGN KEY (job) REFERENCES jobs (id) ON DELETE CASCADE,
    CONSTRAINT boards_location FOREIGN KEY (job, location) REFERENCES locations (job, id)
) STRICT, WITHOUT ROWID;

CREATE INDEX boards_by_location ON boards (job, location);

-- What devices and points take up. A part is a device or a point, so no foreign key can hold it.
CREATE TABLE footprints (
    job             INTEGER NOT NULL,
    part            TEXT    NOT NULL,
    width_mm        REAL    NOT NULL,
    height_mm       REAL    NOT NULL,
    clearance_mm    REAL,
    wires_leave     TEXT    NOT NULL,
    wire_bend_mm    REAL,
    screw_mm        REAL,
    upright         INTEGER NOT NULL,
    hot             INTEGER NOT NULL,
    splash_ok       INTEGER NOT NULL,
    compass         INTEGER NOT NULL,
    compass_safe_mm REAL,
    magnetic        INTEGER NOT NULL,
    PRIMARY KEY (job, part),
    CONSTRAINT footprints_job FOREIGN KEY (job) REFERENCES jobs (id) ON DELETE CASCADE,
    CONSTRAINT footprints_wires_leave CHECK (wires_leave IN ('top', 'right', 'bottom', 'left')),
    CONSTRAINT footprints_flags CHECK (upright IN (0, 1) AND hot IN (0, 1) AND splash_ok IN (0, 1)
        AND compass IN (0, 1) AND magnetic IN (0, 1))
) STRICT, WITHOUT ROWID;

CREATE TABLE footprint_holes (
    job    INTEGER NOT NULL,
    part   TEXT    NOT NULL,
    rank   INTEGER NOT NULL,
    x_mm   REAL    NOT NULL,
    y_mm   REAL    NOT NULL,
    -- Absent: a pilot hole for the part's screws.
    d_mm   REAL,
    PRIMARY KEY (job, part, rank),
    CONSTRAINT footprint_holes_part FOREIGN KEY (job, part) REFERENCES footprints (job, part) ON DELETE CASCADE
) STRICT, WITHOUT ROWID;

-- Which board a part goes on, and where on it once that is settled by hand.
CREATE TABLE mountings (
    job    INTEGER NOT NULL,
    part   TEXT    NOT NULL,
    board  TEXT    NOT NULL,
    x_mm   REAL,
    y_mm   REAL,
    turned INTEGER NOT NULL,
    PRIMARY KEY (job, part),
    CONSTRAINT mountings_board FOREIGN KEY (job, board) REFERENCES boards (job, id),
    CONSTRAINT mountings_job FOREIGN KEY (job) REFERENCES jobs (id) ON DELETE CASCADE,
    CONSTRAINT mountings_spot_whole CHECK ((x_mm IS NULL) = (y_mm IS NULL)),
    CONSTRAINT mountings_turned CHECK (turned IN (0, 1))
) STRICT, WITHOUT ROWID;

CREATE INDEX mountings_by_board ON mountings (job, board);

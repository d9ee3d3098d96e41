-- What the staged power-up test reads, what was found and mended, and how a panel's positions are made.

-- A reading may now tell of a circuit that is off, so the rule that it says something is written anew.
-- SQLite changes a rule only with its whole table.
CREATE TABLE readings_with_off (
    seq           INTEGER NOT NULL PRIMARY KEY,
    job           INTEGER NOT NULL,
    id            TEXT    NOT NULL,
    circuit       TEXT    NOT NULL,
    device        TEXT,
    source_v      REAL,
    load_v        REAL,
    current_a     REAL,
    return_ohm    REAL,
    load_off_v    REAL,
    current_off_a REAL,
    note          TEXT,
    "by"          TEXT    NOT NULL,
    person        INTEGER,
    at            TEXT    NOT NULL,
    CONSTRAINT readings_once UNIQUE (job, id),
    CONSTRAINT readings_job FOREIGN KEY (job) REFERENCES jobs (id) ON DELETE CASCADE,
    CONSTRAINT readings_person FOREIGN KEY (person) REFERENCES people (id),
    CONSTRAINT readings_say_something CHECK (
        coalesce(source_v, load_v, current_a, return_ohm, load_off_v, current_off_a) IS NOT NULL OR note IS NOT NULL)
) STRICT;

INSERT INTO readings_with_off (seq, job, id, circuit, device, source_v, load_v, current_a, return_ohm, note, "by", person, at)
SELECT seq, job, id, circuit, device, source_v, load_v, current_a, return_ohm, note, "by", person, at FROM readings;

DROP TABLE readings;
ALTER TABLE readings_with_off RENAME TO readings;

CREATE TRIGGER readings_never_change BEFORE UPDATE ON readings
BEGIN SELECT RAISE(ABORT, 'a reading is never changed: add another'); END;

CREATE TRIGGER readings_go_with_their_job BEFORE DELETE ON readings
WHEN EXISTS (SELECT 1 FROM jobs WHERE id = OLD.job)
BEGIN SELECT RAISE(ABORT, 'a reading is never deleted: add another'); END;

CREATE TABLE step_readings (
    seq    INTEGER NOT NULL PRIMARY KEY,
    job    INTEGER NOT NULL,
    id     TEXT    NOT NULL,
    -- As steps are written: circuit/C01/continuity.
    step   TEXT    NOT NULL,
    ohm    REAL,
    v      REAL,
    note   TEXT,
    "by"   TEXT    NOT NULL,
    person INTEGER,
    at     TEXT    NOT NULL,
    CONSTRAINT step_readings_once UNIQUE (job, id),
    CONSTRAINT step_readings_job FOREIGN KEY (job) REFERENCES jobs (id) ON DELETE CASCADE,
    CONSTRAINT step_readings_person FOREIGN KEY (person) REFERENCES people (id),
    CONSTRAINT step_readings_say_something CHECK (coalesce(ohm, v) IS NOT NULL OR note IS NOT NULL)
) STRICT;

CREATE TRIGGER step_readings_never_change BEFORE UPDATE ON step_readings
BEGIN SELECT RAISE(ABORT, 'a reading is never changed: add another'); END;

CREATE TRIGGER step_readings_go_with_their_job BEFORE DELETE ON step_readings
WHEN EXISTS (SELECT 1 FROM jobs WHERE id = OLD.job)
BEGIN SELECT RAISE(ABORT, 'a reading is never deleted: add another'); END;

CREATE TABLE repairs (
    seq     INTEGER NOT NULL PRIMARY KEY,
    job     INTEGER NOT NULL,
    id      TEXT    NOT NULL,
    circuit TEXT    NOT NULL,
    "where" TEXT    NOT NULL,
    found   TEXT    NOT NULL,
    "by"    TEXT    NOT NULL,
    person  INTEGER,
    at      TEXT    NOT NULL,
    CONSTRAINT repairs_once UNIQUE (job, id),
    CONSTRAINT repairs_job FOREIGN KEY (job) REFERENCES jobs (id) ON DELETE CASCADE,
    CONSTRAINT repairs_person FOREIGN KEY (person) REFERENCES people (id),
    CONSTRAINT repairs_say_what CHECK (length(trim(found)) > 0)
) STRICT;

CREATE TRIGGER repairs_never_change BEFORE UPDATE ON repairs
BEGIN SELECT RAISE(ABORT, 'a repair is never changed: add another'); END;

CREATE TRIGGER repairs_go_with_their_job BEFORE DELETE ON repairs
WHEN EXISTS (SELECT 1 FROM jobs WHERE id = OLD.job)
BEGIN SELECT RAISE(ABORT, 'a repair is never deleted'); END;

-- How a position of a panel is made; absent: not known.
ALTER TABLE panel_positions ADD COLUMN engraved TEXT
    CONSTRAINT panel_positions_engraved CHECK (engraved IN ('fixed', 'free'));
ALTER TABLE panel_positions ADD COLUMN switch TEXT
    CONSTRAINT panel_positions_switch CHECK (switch IN ('on-off', 'momentary', 'on-off-on', 'breaker'));
ALTER TABLE panel_positions ADD COLUMN indicator INTEGER
    CONSTRAINT panel_positions_indicator CHECK (indicator IN (0, 1));
-- The throws of a switch that has two, with what each of them feeds: a list as the job file has it.
ALTER TABLE panel_positions ADD COLUMN throws TEXT
    CONSTRAINT panel_positions_throws CHECK (throws IS NULL OR json_valid(throws));

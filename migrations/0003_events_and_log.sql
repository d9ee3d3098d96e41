-- What happened: ticks, readings, releases and the log. All are added to and never changed.
--
-- Their rows name steps and circuits by text without a foreign key on purpose: what was done stays
-- true when the plan it was done to changes. They go only when the whole job goes, which the
-- triggers tell by the job's own row being gone already.

CREATE TABLE ticks (
    -- The order they arrived in, which a job file keeps and a clock set back does not change.
    seq    INTEGER NOT NULL PRIMARY KEY,
    job    INTEGER NOT NULL,
    -- Made by the client, so that sent twice is stored once.
    id     TEXT    NOT NULL,
    -- As steps are written: circuit/C01/test.
    step   TEXT    NOT NULL,
    mark   TEXT    NOT NULL,
    reason TEXT,
    -- The name as it was then; the person where it was someone of this shop.
    "by"   TEXT    NOT NULL,
    person INTEGER,
    -- By the clock of whoever did it.
    at     TEXT    NOT NULL,
    CONSTRAINT ticks_once UNIQUE (job, id),
    CONSTRAINT ticks_job FOREIGN KEY (job) REFERENCES jobs (id) ON DELETE CASCADE,
    CONSTRAINT ticks_person FOREIGN KEY (person) REFERENCES people (id),
    CONSTRAINT ticks_mark CHECK (mark IN ('done', 'undone', 'not-needed')),
    CONSTRAINT ticks_not_needed_has_reason CHECK (mark <> 'not-needed' OR length(trim(coalesce(reason, ''))) > 0)
) STRICT;

CREATE TABLE readings (
    seq    INTEGER NOT NULL PRIMARY KEY,
    job        INTEGER NOT NULL,
    id         TEXT    NOT NULL,
    circuit    TEXT    NOT NULL,
    device     TEXT,
    source_v   REAL,
    load_v     REAL,
    current_a  REAL,
    return_ohm REAL,
    note       TEXT,
    "by"       TEXT    NOT NULL,
    person     INTEGER,
    at         TEXT    NOT NULL,
    CONSTRAINT readings_once UNIQUE (job, id),
    CONSTRAINT readings_job FOREIGN KEY (job) REFERENCES jobs (id) ON DELETE CASCADE,
    CONSTRAINT readings_person FOREIGN KEY (person) REFERENCES people (id),
    CONSTRAINT readings_say_something CHECK (coalesce(source_v, load_v, current_a, return_ohm) IS NOT NULL
        OR note IS NOT NULL)
) STRICT;

CREATE TABLE releases (
    seq    INTEGER NOT NULL PRIMARY KEY,
    job      INTEGER NOT NULL,
    id       TEXT    NOT NULL,
    -- The phase entered through the gate.
    into_phase TEXT  NOT NULL,
    obstacle TEXT    NOT NULL,
    reason   TEXT    NOT NULL,
    "by"     TEXT    NOT NULL,
    person   INTEGER,
    at       TEXT    NOT NULL,
    CONSTRAINT releases_once UNIQUE (job, id),
    CONSTRAINT releases_job FOREIGN KEY (job) REFERENCES jobs (id) ON DELETE CASCADE,
    CONSTRAINT releases_person FOREIGN KEY (person) REFERENCES people (id),
    CONSTRAINT releases_phase CHECK (into_phase IN ('strip-out', 'mounting', 'runs', 'terminations', 'switches',
        'power-up-test', 'tie-down', 'setup')),
    CONSTRAINT releases_have_reason CHECK (length(trim(reason)) > 0)
) STRICT;

CREATE TABLE log (
    id      INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    -- By the server's clock.
    at      TEXT    NOT NULL,
    "by"    TEXT    NOT NULL,
    person  INTEGER,
    -- Absent: about the shop itself, such as its people.
    job     INTEGER,
    -- A word of the program's own list; it grows with what can be done to a job.
    change  TEXT    NOT NULL,
    -- Kind and id: circuit/C01.
    subject TEXT    NOT NULL,
    before  TEXT,
    after   TEXT,
    CONSTRAINT log_job FOREIGN KEY (job) REFERENCES jobs (id) ON DELETE CASCADE,
    CONSTRAINT log_person FOREIGN KEY (person) REFERENCES people (id),
    CONSTRAINT log_before_json CHECK (before IS NULL OR json_valid(before)),
    CONSTRAINT log_after_json CHECK (after IS NULL OR json_valid(after))
) STRICT;

CREATE INDEX log_by_job ON log (job, id);

CREATE TRIGGER ticks_never_change BEFORE UPDATE ON ticks
BEGIN SELECT RAISE(ABORT, 'a tick is never changed: add another'); END;

CREATE TRIGGER ticks_go_with_their_job BEFORE DELETE ON ticks
WHEN EXISTS (SELECT 1 FROM jobs WHERE id = OLD.job)
BEGIN SELECT RAISE(ABORT, 'a tick is never deleted: add another'); END;

CREATE TRIGGER readings_never_change BEFORE UPDATE ON readings
BEGIN SELECT RAISE(ABORT, 'a reading is never changed: add another'); END;

CREATE TRIGGER readings_go_with_their_job BEFORE DELETE ON readings
WHEN EXISTS (SELECT 1 FROM jobs WHERE id = OLD.job)
BEGIN SELECT RAISE(ABORT, 'a reading is never deleted: add another'); END;

CREATE TRIGGER releases_never_change BEFORE UPDATE ON releases
BEGIN SELECT RAISE(ABORT, 'a release is never changed'); END;

CREATE TRIGGER releases_go_with_their_job BEFORE DELETE ON releases
WHEN EXISTS (SELECT 1 FROM jobs WHERE id = OLD.job)
BEGIN SELECT RAISE(ABORT, 'a release is never deleted'); END;

CREATE TRIGGER log_never_changes BEFORE UPDATE ON log
BEGIN SELECT RAISE(ABORT, 'the log is never changed'); END;

-- Lines about the shop itself stay for good; those of a job go with it, and the line that says who
-- deleted the job stays.
CREATE TRIGGER log_goes_with_its_job BEFORE DELETE ON log
WHEN OLD.job IS NULL OR EXISTS (SELECT 1 FROM jobs WHERE id = OLD.job)
BEGIN SELECT RAISE(ABORT, 'the log is never deleted'); END;

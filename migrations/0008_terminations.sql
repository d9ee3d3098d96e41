-- What conductors land on, sample pulls on crimps, what was noted of an end, and what was taken back.

-- The stud feeders land on, and the screw or tab of circuits; absent: not known.
ALTER TABLE points ADD COLUMN stud TEXT;
ALTER TABLE points ADD COLUMN screw TEXT;
ALTER TABLE points ADD COLUMN tab_mm REAL
    CONSTRAINT points_one_seat_for_circuits CHECK (tab_mm IS NULL OR screw IS NULL);

ALTER TABLE devices ADD COLUMN stud TEXT;
ALTER TABLE devices ADD COLUMN tab_mm REAL
    CONSTRAINT devices_stud_or_tab CHECK (tab_mm IS NULL OR stud IS NULL);
-- How conductors are joined to the device's own leads.
ALTER TABLE devices ADD COLUMN joined TEXT
    CONSTRAINT devices_joined CHECK (joined IN ('sealed-butt', 'butt', 'wire-nut'))
    CONSTRAINT devices_one_seat CHECK (joined IS NULL OR coalesce(stud, tab_mm) IS NULL);

CREATE TABLE crimp_pulls (
    seq     INTEGER NOT NULL PRIMARY KEY,
    job     INTEGER NOT NULL,
    id      TEXT    NOT NULL,
    -- As labels write it: C01-3a.
    end     TEXT    NOT NULL,
    force_n REAL    NOT NULL,
    note    TEXT,
    "by"    TEXT    NOT NULL,
    person  INTEGER,
    at      TEXT    NOT NULL,
    CONSTRAINT crimp_pulls_once UNIQUE (job, id),
    CONSTRAINT crimp_pulls_job FOREIGN KEY (job) REFERENCES jobs (id) ON DELETE CASCADE,
    CONSTRAINT crimp_pulls_person FOREIGN KEY (person) REFERENCES people (id)
) STRICT;

CREATE TRIGGER crimp_pulls_never_change BEFORE UPDATE ON crimp_pulls
BEGIN SELECT RAISE(ABORT, 'a pull is never changed: add another'); END;

CREATE TRIGGER crimp_pulls_go_with_their_job BEFORE DELETE ON crimp_pulls
WHEN EXISTS (SELECT 1 FROM jobs WHERE id = OLD.job)
BEGIN SELECT RAISE(ABORT, 'a pull is never deleted: withdraw it'); END;

CREATE TABLE end_notes (
    seq    INTEGER NOT NULL PRIMARY KEY,
    job    INTEGER NOT NULL,
    id     TEXT    NOT NULL,
    end    TEXT    NOT NULL,
    found  TEXT    NOT NULL,
    "by"   TEXT    NOT NULL,
    person INTEGER,
    at     TEXT    NOT NULL,
    CONSTRAINT end_notes_once UNIQUE (job, id),
    CONSTRAINT end_notes_job FOREIGN KEY (job) REFERENCES jobs (id) ON DELETE CASCADE,
    CONSTRAINT end_notes_person FOREIGN KEY (person) REFERENCES people (id),
    CONSTRAINT end_notes_say_something CHECK (length(trim(found)) > 0)
) STRICT;

CREATE TRIGGER end_notes_never_change BEFORE UPDATE ON end_notes
BEGIN SELECT RAISE(ABORT, 'a note is never changed: add another'); END;

CREATE TRIGGER end_notes_go_with_their_job BEFORE DELETE ON end_notes
WHEN EXISTS (SELECT 1 FROM jobs WHERE id = OLD.job)
BEGIN SELECT RAISE(ABORT, 'a note is never deleted: withdraw it'); END;

-- What was taken back: the event stays where it is and counts no more.
CREATE TABLE withdrawals (
    seq    INTEGER NOT NULL PRIMARY KEY,
    job    INTEGER NOT NULL,
    id     TEXT    NOT NULL,
    -- The id of the reading, pull or note.
    event  TEXT    NOT NULL,
    "by"   TEXT    NOT NULL,
    person INTEGER,
    at     TEXT    NOT NULL,
    CONSTRAINT withdrawals_once UNIQUE (job, id),
    CONSTRAINT withdrawals_job FOREIGN KEY (job) REFERENCES jobs (id) ON DELETE CASCADE,
    CONSTRAINT withdrawals_person FOREIGN KEY (person) REFERENCES people (id)
) STRICT;

CREATE TRIGGER withdrawals_never_change BEFORE UPDATE ON withdrawals
BEGIN SELECT RAISE(ABORT, 'a withdrawal is never changed'); END;

CREATE TRIGGER withdrawals_go_with_their_job BEFORE DELETE ON withdrawals
WHEN EXISTS (SELECT 1 FROM jobs WHERE id = OLD.job)
BEGIN SELECT RAISE(ABORT, 'a withdrawal is never deleted'); END;

-- Two more kinds of line in the log. SQLite changes a rule only with its whole table.
CREATE TABLE log_with_notes (
    id      INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    -- By the server's clock.
    at      TEXT    NOT NULL,
    "by"    TEXT    NOT NULL,
    person  INTEGER,
    -- Absent: about the shop itself, such as its people.
    job     INTEGER,
    change  TEXT    NOT NULL,
    -- Kind and id: circuit/C01.
    subject TEXT    NOT NULL,
    before  TEXT,
    after   TEXT,
    CONSTRAINT log_job FOREIGN KEY (job) REFERENCES jobs (id) ON DELETE CASCADE,
    CONSTRAINT log_person FOREIGN KEY (person) REFERENCES people (id),
    CONSTRAINT log_change CHECK (change IN ('added', 'changed', 'removed', 'imported', 'closed', 'reopened',
        'ticked', 'measured', 'photographed', 'noted', 'withdrawn', 'released', 'signed-in', 'switched', 'signed-out')),
    CONSTRAINT log_before_json CHECK (before IS NULL OR json_valid(before)),
    CONSTRAINT log_after_json CHECK (after IS NULL OR json_valid(after))
) STRICT;

INSERT INTO log_with_notes (id, at, "by", person, job, change, subject, before, after)
SELECT id, at, "by", person, job, change, subject, before, after FROM log;

DROP TABLE log;
ALTER TABLE log_with_notes RENAME TO log;

CREATE INDEX log_by_job ON log (job, id);

CREATE TRIGGER log_never_changes BEFORE UPDATE ON log
BEGIN SELECT RAISE(ABORT, 'the log is never changed'); END;

-- Lines about the shop itself stay for good; those of a job go with it, and the line that says who
-- deleted the job stays.
CREATE TRIGGER log_goes_with_its_job BEFORE DELETE ON log
WHEN OLD.job IS NULL OR EXISTS (SELECT 1 FROM jobs WHERE id = OLD.job)
BEGIN SELECT RAISE(ABORT, 'the log is never deleted'); END;

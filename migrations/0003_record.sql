-- What happened: records of the work on a job, photos, and the log of what is neither.
--
-- Records name steps and things by text without a foreign key on purpose: what was done stays true when the plan
-- changes. All of them go only when the whole job goes; the triggers see that the row of the job is gone then.

CREATE TABLE record (
    job         INTEGER NOT NULL,
    -- The order they arrived in, counted from 1 within the job.
    no          INTEGER NOT NULL,
    -- Number in the job's log; absent where it came with a job file.
    line        INTEGER,
    -- Made by the client, so that a record sent twice is stored once.
    id          TEXT    NOT NULL,
    kind        TEXT    NOT NULL,
    -- The thing it is about, by kind and id: end/C01-1a.
    subject     TEXT    NOT NULL,
    -- The step, where it is about one: circuit/C01/test.
    step        TEXT,
    -- By the clock of whoever did it.
    at          TEXT    NOT NULL,
    -- By the server's clock.
    received_at TEXT    NOT NULL,
    -- The name as it was then; the person where it was one of this shop.
    "by"        TEXT    NOT NULL,
    person      INTEGER,
    origin      TEXT    NOT NULL,
    -- The rest, by the field names of the job file.
    body        TEXT    NOT NULL,
    -- Format of the body.
    format      INTEGER NOT NULL,
    PRIMARY KEY (job, no),
    CONSTRAINT record_once UNIQUE (job, id),
    CONSTRAINT record_line_once UNIQUE (job, line),
    CONSTRAINT record_job FOREIGN KEY (job) REFERENCES job (id) ON DELETE CASCADE,
    CONSTRAINT record_person FOREIGN KEY (person) REFERENCES people (id),
    CONSTRAINT record_kind CHECK (kind IN ('tick', 'reading', 'step-reading', 'crimp-pull', 'open-item',
        'closing', 'repair', 'release', 'judgment', 'confirmation', 'withdrawal')),
    CONSTRAINT record_origin CHECK (origin IN ('here', 'imported')),
    CONSTRAINT record_here_has_person CHECK ((origin = 'here') = (person IS NOT NULL)),
    CONSTRAINT record_here_has_line CHECK ((origin = 'here') = (line IS NOT NULL)),
    CONSTRAINT record_body CHECK (json_valid(body) AND length(body) <= 65536)
) STRICT, WITHOUT ROWID;

CREATE INDEX record_by_subject ON record (job, subject);
CREATE INDEX record_by_person ON record (person, job);

CREATE TRIGGER record_never_changes BEFORE UPDATE ON record
BEGIN SELECT RAISE(ABORT, 'a record is never changed: add another'); END;

CREATE TRIGGER record_goes_with_its_job BEFORE DELETE ON record
WHEN EXISTS (SELECT 1 FROM job WHERE id = OLD.job)
BEGIN SELECT RAISE(ABORT, 'a record is never deleted: add another'); END;

CREATE TRIGGER record_is_never_replaced BEFORE INSERT ON record
WHEN EXISTS (SELECT 1 FROM record WHERE job = NEW.job AND no = NEW.no)
    OR EXISTS (SELECT 1 FROM record WHERE job = NEW.job AND id = NEW.id)
    OR EXISTS (SELECT 1 FROM record WHERE job = NEW.job AND line = NEW.line)
BEGIN SELECT RAISE(ABORT, 'a record is never replaced: add another'); END;

CREATE TABLE photos (
    -- Never used again once given: addresses carry it.
    id      INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    job     INTEGER NOT NULL,
    -- A thing of the job by kind and id; it may be gone by now.
    subject TEXT    NOT NULL,
    -- The file under photos/, named by the SHA-256 of what is in it.
    file    TEXT    NOT NULL,
    width   INTEGER NOT NULL,
    height  INTEGER NOT NULL,
    "by"    TEXT    NOT NULL,
    at      TEXT    NOT NULL,
    CONSTRAINT photos_job FOREIGN KEY (job) REFERENCES job (id) ON DELETE CASCADE,
    CONSTRAINT photos_size CHECK (width > 0 AND height > 0)
) STRICT;

CREATE INDEX photos_by_subject ON photos (job, subject);
CREATE INDEX photos_by_file ON photos (file);

-- What was done that is neither a change of a plan nor a record: to the shop and its people, to a job as a whole,
-- to photos.
CREATE TABLE log (
    id      INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    -- By the server's clock.
    at      TEXT    NOT NULL,
    "by"    TEXT    NOT NULL,
    person  INTEGER,
    -- Absent: about the shop itself, such as its people.
    job     INTEGER,
    -- Number in the log of its job.
    line    INTEGER,
    -- A word of the program's own list.
    act     TEXT    NOT NULL,
    -- Kind and id: person/3.
    subject TEXT    NOT NULL,
    before  TEXT,
    after   TEXT,
    CONSTRAINT log_line_once UNIQUE (job, line),
    CONSTRAINT log_job FOREIGN KEY (job) REFERENCES job (id) ON DELETE CASCADE,
    CONSTRAINT log_person FOREIGN KEY (person) REFERENCES people (id),
    CONSTRAINT log_line_of_job CHECK ((job IS NULL) = (line IS NULL)),
    CONSTRAINT log_before CHECK (before IS NULL OR json_valid(before)),
    CONSTRAINT log_after CHECK (after IS NULL OR json_valid(after))
) STRICT;

CREATE TRIGGER log_never_changes BEFORE UPDATE ON log
BEGIN SELECT RAISE(ABORT, 'the log is never changed'); END;

-- Lines about the shop itself stay for good; those of a job go with it, and the line that says who deleted the
-- job stays.
CREATE TRIGGER log_goes_with_its_job BEFORE DELETE ON log
WHEN OLD.job IS NULL OR EXISTS (SELECT 1 FROM job WHERE id = OLD.job)
BEGIN SELECT RAISE(ABORT, 'the log is never deleted'); END;

CREATE TRIGGER log_is_never_replaced BEFORE INSERT ON log
WHEN EXISTS (SELECT 1 FROM log WHERE id = NEW.id)
    OR EXISTS (SELECT 1 FROM log WHERE job = NEW.job AND line = NEW.line)
BEGIN SELECT RAISE(ABORT, 'the log is never replaced'); END;

-- What the shop floor shows of a job, as calculated from its plan and records. A row counts only while the numbers
-- are those of the job and the program is the same. Rows can be deleted at any time: they are calculated again.
CREATE TABLE job_summary (
    job       INTEGER NOT NULL PRIMARY KEY,
    change_no INTEGER NOT NULL,
    record_no INTEGER NOT NULL,
    build     TEXT    NOT NULL,
    body      TEXT    NOT NULL,
    CONSTRAINT job_summary_job FOREIGN KEY (job) REFERENCES job (id) ON DELETE CASCADE,
    CONSTRAINT job_summary_body CHECK (json_valid(body))
) STRICT;

-- A job: its plan as items, and every change of the plan.
--
-- A plan is always loaded and checked as a whole, so each item of it is one JSON document. References between
-- items, ranges and uniqueness are checked on the whole plan before a change is committed, by `Plan::faults`.
-- Times are UTC as RFC 3339 text with nine digits of a second, so that text order is time order.

CREATE TABLE job (
    -- Never used again once given: addresses and labels carry it.
    id         INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    -- Number of the last change of the plan.
    change_no  INTEGER NOT NULL DEFAULT 0,
    -- Number of the last record.
    record_no  INTEGER NOT NULL DEFAULT 0,
    -- Number of the last line of the job's log. Changes, records and lines of `log` share these numbers.
    line_no    INTEGER NOT NULL DEFAULT 0,
    -- Number of the change that last wrote or erased the customer.
    customer_no INTEGER NOT NULL DEFAULT 0,
    created_at TEXT    NOT NULL,
    -- Work is possible on an open job only. The others can be read and reopened.
    state      TEXT    NOT NULL DEFAULT 'open',
    CONSTRAINT job_state CHECK (state IN ('open', 'put-aside', 'closed'))
) STRICT;

CREATE INDEX job_by_state ON job (state);

-- The jobs that a viewer sees. People of the other roles see every job.
CREATE TABLE job_grant (
    job    INTEGER NOT NULL,
    person INTEGER NOT NULL,
    PRIMARY KEY (person, job),
    CONSTRAINT job_grant_job FOREIGN KEY (job) REFERENCES job (id) ON DELETE CASCADE,
    CONSTRAINT job_grant_person FOREIGN KEY (person) REFERENCES people (id)
) STRICT, WITHOUT ROWID;

CREATE INDEX job_grant_by_job ON job_grant (job);

-- Who owns the boat. It must be possible to erase a customer, so no history holds one.
CREATE TABLE customer (
    job     INTEGER NOT NULL PRIMARY KEY,
    name    TEXT    NOT NULL,
    contact TEXT,
    CONSTRAINT customer_job FOREIGN KEY (job) REFERENCES job (id) ON DELETE CASCADE
) STRICT;

-- One save is one change and one undo, however many items it touches.
CREATE TABLE change (
    job    INTEGER NOT NULL,
    -- Counted from 1 within the job.
    no     INTEGER NOT NULL,
    line   INTEGER NOT NULL,
    -- By the server's clock.
    at     TEXT    NOT NULL,
    -- The name as it was then; the person where it was one of this shop.
    "by"   TEXT    NOT NULL,
    person INTEGER,
    act    TEXT    NOT NULL,
    -- The change that this one undoes.
    undoes INTEGER,
    -- Format of the documents in its item changes.
    format INTEGER NOT NULL,
    PRIMARY KEY (job, no),
    CONSTRAINT change_line_once UNIQUE (job, line),
    CONSTRAINT change_job FOREIGN KEY (job) REFERENCES job (id) ON DELETE CASCADE,
    CONSTRAINT change_undoes_change FOREIGN KEY (job, undoes) REFERENCES change (job, no),
    CONSTRAINT change_person FOREIGN KEY (person) REFERENCES people (id),
    CONSTRAINT change_act CHECK (act IN ('create', 'import', 'edit', 'undo')),
    CONSTRAINT change_undoes_earlier CHECK ((act = 'undo') = (undoes IS NOT NULL) AND coalesce(undoes, 0) < no)
) STRICT, WITHOUT ROWID;

CREATE INDEX change_by_undone ON change (job, undoes) WHERE undoes IS NOT NULL;

-- What a change did to one item. `before` is absent where the item is new, `after` where it was removed.
CREATE TABLE item_change (
    -- The order within a change.
    seq         INTEGER NOT NULL PRIMARY KEY,
    job         INTEGER NOT NULL,
    no          INTEGER NOT NULL,
    kind        TEXT    NOT NULL,
    id          TEXT    NOT NULL,
    before      TEXT,
    after       TEXT,
    rank_before INTEGER,
    rank_after  INTEGER,
    CONSTRAINT item_change_once UNIQUE (job, kind, id, no),
    CONSTRAINT item_change_of_change FOREIGN KEY (job, no) REFERENCES change (job, no) ON DELETE CASCADE,
    CONSTRAINT item_change_says_something CHECK (coalesce(before, after) IS NOT NULL),
    CONSTRAINT item_change_ranks CHECK (
        (before IS NULL) = (rank_before IS NULL) AND (after IS NULL) = (rank_after IS NULL)
    ),
    CONSTRAINT item_change_before CHECK (before IS NULL OR (json_valid(before) AND length(before) <= 1048576)),
    CONSTRAINT item_change_after CHECK (after IS NULL OR (json_valid(after) AND length(after) <= 1048576))
) STRICT;

CREATE INDEX item_change_by_change ON item_change (job, no);
CREATE INDEX item_change_removed ON item_change (job, kind, id, no) WHERE after IS NULL;

-- The plan as it is now.
CREATE TABLE item (
    pk      INTEGER NOT NULL PRIMARY KEY,
    job     INTEGER NOT NULL,
    -- job, boat, or a kind of the job file's lists: circuit.
    kind    TEXT    NOT NULL,
    -- Made once; never changes and never returns.
    id      TEXT    NOT NULL,
    -- The order within a kind. Ranks have gaps.
    rank    INTEGER NOT NULL,
    -- Number of the change that wrote it: it only grows.
    version INTEGER NOT NULL,
    body    TEXT    NOT NULL,
    -- Format of the body.
    format  INTEGER NOT NULL,
    name    TEXT GENERATED ALWAYS AS (json_extract(body, '$.name')) VIRTUAL,
    CONSTRAINT item_once UNIQUE (job, kind, id),
    CONSTRAINT item_job FOREIGN KEY (job) REFERENCES job (id) ON DELETE CASCADE,
    CONSTRAINT item_written_by_change FOREIGN KEY (job, kind, id, version)
        REFERENCES item_change (job, kind, id, no),
    CONSTRAINT item_body CHECK (json_valid(body) AND length(body) <= 1048576)
) STRICT;

CREATE INDEX item_by_format ON item (format);

CREATE TRIGGER change_never_changes BEFORE UPDATE ON change
BEGIN SELECT RAISE(ABORT, 'a change is never changed: add another'); END;

CREATE TRIGGER change_goes_with_its_job BEFORE DELETE ON change
WHEN EXISTS (SELECT 1 FROM job WHERE id = OLD.job)
BEGIN SELECT RAISE(ABORT, 'a change is never deleted: add another'); END;

-- INSERT OR REPLACE deletes what is in its path. On a connection without recursive triggers no delete trigger
-- sees that, so it is refused before.
CREATE TRIGGER change_is_never_replaced BEFORE INSERT ON change
WHEN EXISTS (SELECT 1 FROM change WHERE job = NEW.job AND no = NEW.no)
    OR EXISTS (SELECT 1 FROM change WHERE job = NEW.job AND line = NEW.line)
BEGIN SELECT RAISE(ABORT, 'a change is never replaced: add another'); END;

CREATE TRIGGER item_change_never_changes BEFORE UPDATE ON item_change
BEGIN SELECT RAISE(ABORT, 'a change is never changed: add another'); END;

CREATE TRIGGER item_change_goes_with_its_job BEFORE DELETE ON item_change
WHEN EXISTS (SELECT 1 FROM job WHERE id = OLD.job)
BEGIN SELECT RAISE(ABORT, 'a change is never deleted: add another'); END;

CREATE TRIGGER item_change_is_never_replaced BEFORE INSERT ON item_change
WHEN EXISTS (SELECT 1 FROM item_change WHERE seq = NEW.seq)
    OR EXISTS (
        SELECT 1 FROM item_change WHERE job = NEW.job AND kind = NEW.kind AND id = NEW.id AND no = NEW.no
    )
BEGIN SELECT RAISE(ABORT, 'a change is never replaced: add another'); END;

CREATE TRIGGER item_id_never_returns BEFORE INSERT ON item
WHEN (SELECT undoes FROM change WHERE job = NEW.job AND no = NEW.version) IS NOT (
    SELECT max(no) FROM item_change WHERE job = NEW.job AND kind = NEW.kind AND id = NEW.id AND after IS NULL
) AND EXISTS (
    SELECT 1 FROM item_change WHERE job = NEW.job AND kind = NEW.kind AND id = NEW.id AND after IS NULL
)
BEGIN SELECT RAISE(ABORT, 'the id of a removed item never returns: undo the change that removed it'); END;

-- Only an upgrade of the format rewrites a body without a change.
CREATE TRIGGER item_keeps_its_id BEFORE UPDATE ON item
WHEN (NEW.job, NEW.kind, NEW.id) IS NOT (OLD.job, OLD.kind, OLD.id)
    OR NOT (NEW.version > OLD.version OR (NEW.version = OLD.version AND NEW.format > OLD.format))
BEGIN SELECT RAISE(ABORT, 'an item never changes its id, and its version never goes back'); END;

CREATE TRIGGER item_goes_by_a_change BEFORE DELETE ON item
WHEN EXISTS (SELECT 1 FROM job WHERE id = OLD.job) AND NOT EXISTS (
    SELECT 1 FROM item_change
    WHERE job = OLD.job AND kind = OLD.kind AND id = OLD.id AND no > OLD.version AND after IS NULL
)
BEGIN SELECT RAISE(ABORT, 'an item is never deleted without a change that says so'); END;

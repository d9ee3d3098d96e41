-- What came off the boat at strip-out, and photos of anything on a job.

CREATE TABLE removed (
    job       INTEGER NOT NULL,
    id        TEXT    NOT NULL,
    rank      INTEGER NOT NULL,
    version   INTEGER NOT NULL DEFAULT 1,
    name      TEXT    NOT NULL,
    location     TEXT,
    fate      TEXT    NOT NULL,
    -- Absent: not tested yet.
    tested    TEXT,
    notes     TEXT,
    worth_new REAL,
    -- What it is on the boat again.
    device    TEXT,
    PRIMARY KEY (job, id),
    CONSTRAINT removed_rank_once UNIQUE (job, rank),
    CONSTRAINT removed_job FOREIGN KEY (job) REFERENCES jobs (id) ON DELETE CASCADE,
    CONSTRAINT removed_location FOREIGN KEY (job, location) REFERENCES locations (job, id),
    CONSTRAINT removed_device FOREIGN KEY (job, device) REFERENCES devices (job, id),
    CONSTRAINT removed_device_once UNIQUE (job, device)
) STRICT, WITHOUT ROWID;

CREATE INDEX removed_by_location ON removed (job, location);

CREATE TABLE photos (
    -- Never used again once given: addresses carry it.
    id      INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    job     INTEGER NOT NULL,
    -- A thing of the job as a kind and an id; it may be gone by now.
    subject TEXT    NOT NULL,
    -- The file under photos/, named by the SHA-256 of what is in it.
    file    TEXT    NOT NULL,
    width   INTEGER NOT NULL,
    height  INTEGER NOT NULL,
    by      TEXT    NOT NULL,
    at      TEXT    NOT NULL,
    CONSTRAINT photos_job FOREIGN KEY (job) REFERENCES jobs (id) ON DELETE CASCADE,
    CONSTRAINT photos_size CHECK (width > 0 AND height > 0)
) STRICT;

CREATE INDEX photos_by_subject ON photos (job, subject);
CREATE INDEX photos_by_file ON photos (file);

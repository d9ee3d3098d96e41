-- What charges in a mode, and what a starter draws.

CREATE TABLE mode_chargers (
    job   INTEGER NOT NULL,
    mode  TEXT    NOT NULL,
    rank  INTEGER NOT NULL,
    point TEXT    NOT NULL,
    PRIMARY KEY (job, mode, rank),
    CONSTRAINT mode_chargers_mode FOREIGN KEY (job, mode) REFERENCES modes (job, id) ON DELETE CASCADE,
    CONSTRAINT mode_chargers_point FOREIGN KEY (job, point) REFERENCES points (job, id),
    CONSTRAINT mode_chargers_once UNIQUE (job, mode, point)
) STRICT, WITHOUT ROWID;

CREATE INDEX mode_chargers_by_point ON mode_chargers (job, point);

ALTER TABLE points ADD COLUMN starter_a REAL
    CONSTRAINT points_only_engines_crank CHECK (starter_a IS NULL OR kind = 'charger');

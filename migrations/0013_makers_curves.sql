-- What the manufacturer says of when a fuse or breaker opens: a current it carries for a time, and one at which it
-- has opened within a time.
CREATE TABLE circuit_curves (
    job       INTEGER NOT NULL,
    circuit   TEXT    NOT NULL,
    carries_a REAL,
    carries_s REAL,
    opens_a   REAL,
    opens_s   REAL,
    PRIMARY KEY (job, circuit),
    CONSTRAINT circuit_curves_circuit FOREIGN KEY (job, circuit) REFERENCES circuits (job, id) ON DELETE CASCADE,
    CONSTRAINT circuit_curves_carries CHECK ((carries_a IS NULL) = (carries_s IS NULL)),
    CONSTRAINT circuit_curves_opens CHECK ((opens_a IS NULL) = (opens_s IS NULL)),
    CONSTRAINT circuit_curves_say_something CHECK (coalesce(carries_a, opens_a) IS NOT NULL)
) STRICT, WITHOUT ROWID;

CREATE TABLE feeder_curves (
    job       INTEGER NOT NULL,
    feeder    TEXT    NOT NULL,
    carries_a REAL,
    carries_s REAL,
    opens_a   REAL,
    opens_s   REAL,
    PRIMARY KEY (job, feeder),
    CONSTRAINT feeder_curves_feeder FOREIGN KEY (job, feeder) REFERENCES feeders (job, id) ON DELETE CASCADE,
    CONSTRAINT feeder_curves_carries CHECK ((carries_a IS NULL) = (carries_s IS NULL)),
    CONSTRAINT feeder_curves_opens CHECK ((opens_a IS NULL) = (opens_s IS NULL)),
    CONSTRAINT feeder_curves_say_something CHECK (coalesce(carries_a, opens_a) IS NOT NULL)
) STRICT, WITHOUT ROWID;

-- The throws in which a circuit is on, of a switch that is on both ways: a list as the job file has it.
ALTER TABLE circuits ADD COLUMN switch_throws TEXT
    CONSTRAINT circuits_switch_throws CHECK (switch_throws IS NULL OR json_valid(switch_throws));

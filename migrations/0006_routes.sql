-- Ways set by hand, what is added to the way of a run, and cables that come with a length.

ALTER TABLE jobs ADD COLUMN rise_m REAL;
ALTER TABLE jobs ADD COLUMN service_loop_m REAL;
ALTER TABLE jobs ADD COLUMN drip_loop_m REAL;
ALTER TABLE jobs ADD COLUMN waste_pct REAL;

-- From the mouth of a raceway to where wires land; absent: as the job has it.
ALTER TABLE locations ADD COLUMN rise_m REAL;

-- The raceways of a circuit's route set by hand, in order from its source.
CREATE TABLE circuit_routes (
    job     INTEGER NOT NULL,
    circuit TEXT    NOT NULL,
    rank    INTEGER NOT NULL,
    raceway TEXT    NOT NULL,
    PRIMARY KEY (job, circuit, rank),
    CONSTRAINT circuit_routes_circuit FOREIGN KEY (job, circuit) REFERENCES circuits (job, id) ON DELETE CASCADE,
    CONSTRAINT circuit_routes_raceway FOREIGN KEY (job, raceway) REFERENCES raceways (job, id),
    CONSTRAINT circuit_routes_once UNIQUE (job, circuit, raceway)
) STRICT, WITHOUT ROWID;

CREATE INDEX circuit_routes_by_raceway ON circuit_routes (job, raceway);

-- The same of a feeder, from its beginning.
CREATE TABLE feeder_routes (
    job     INTEGER NOT NULL,
    feeder  TEXT    NOT NULL,
    rank    INTEGER NOT NULL,
    raceway TEXT    NOT NULL,
    PRIMARY KEY (job, feeder, rank),
    CONSTRAINT feeder_routes_feeder FOREIGN KEY (job, feeder) REFERENCES feeders (job, id) ON DELETE CASCADE,
    CONSTRAINT feeder_routes_raceway FOREIGN KEY (job, raceway) REFERENCES raceways (job, id),
    CONSTRAINT feeder_routes_once UNIQUE (job, feeder, raceway)
) STRICT, WITHOUT ROWID;

CREATE INDEX feeder_routes_by_raceway ON feeder_routes (job, raceway);

-- A device has one such cable at most.
CREATE TABLE factory_cables (
    job            INTEGER NOT NULL,
    device         TEXT    NOT NULL,
    kind           TEXT    NOT NULL,
    length_m       REAL    NOT NULL,
    to_location       TEXT    NOT NULL,
    connector_mm   REAL,
    outside_mm     REAL,
    least_length_m REAL,
    sealed_join    INTEGER NOT NULL,
    PRIMARY KEY (job, device),
    CONSTRAINT factory_cables_device FOREIGN KEY (job, device) REFERENCES devices (job, id) ON DELETE CASCADE,
    CONSTRAINT factory_cables_to FOREIGN KEY (job, to_location) REFERENCES locations (job, id),
    CONSTRAINT factory_cables_kind CHECK (kind IN ('antenna', 'transducer', 'network', 'engine-harness', 'power')),
    CONSTRAINT factory_cables_sealed CHECK (sealed_join IN (0, 1))
) STRICT, WITHOUT ROWID;

CREATE INDEX factory_cables_by_location ON factory_cables (job, to_location);

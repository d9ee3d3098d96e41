-- What things of the plan have beyond their columns, as JSON: the legs and label of a circuit, the label of a
-- feeder, the cables of a device.
CREATE TABLE plan_extras (
    job  INTEGER NOT NULL REFERENCES jobs (id) ON DELETE CASCADE,
    kind TEXT    NOT NULL,
    id   TEXT    NOT NULL,
    body TEXT    NOT NULL,
    PRIMARY KEY (job, kind, id),
    CONSTRAINT plan_extras_json CHECK (json_valid(body))
) STRICT, WITHOUT ROWID;

-- Where the cables of devices go.
DROP TABLE factory_cables;
CREATE TABLE factory_cables (
    job       INTEGER NOT NULL,
    device    TEXT    NOT NULL,
    rank      INTEGER NOT NULL,
    to_location  TEXT,
    to_device TEXT,
    PRIMARY KEY (job, device, rank),
    CONSTRAINT factory_cables_device FOREIGN KEY (job, device) REFERENCES devices (job, id) ON DELETE CASCADE,
    CONSTRAINT factory_cables_to FOREIGN KEY (job, to_location) REFERENCES locations (job, id)
) STRICT, WITHOUT ROWID;
CREATE INDEX factory_cables_by_location ON factory_cables (job, to_location);

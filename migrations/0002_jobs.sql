-- A job and everything planned for its boat.
--
-- Things within a job are keyed by (job, id) with the id of the job file, and so is every reference:
-- a circuit of one job cannot name a point of another. Bounds of numbers are not repeated here: they
-- are declared once, with the values' types. `rank` keeps the order of the job file. `version` is what
-- an edit form started from: an update of any other version is refused.

CREATE TABLE jobs (
    -- Never used again once given: addresses and labels carry it.
    id            INTEGER NOT NULL PRIMARY KEY AUTOINCREMENT,
    version       INTEGER NOT NULL DEFAULT 1,
    name          TEXT    NOT NULL,
    rules         TEXT    NOT NULL,
    nominal_v     REAL    NOT NULL,
    ambient_c     REAL    NOT NULL,
    contact_mohm  REAL,
    wishes        TEXT,
    budget        REAL,
    received_on   TEXT,
    promised_on   TEXT,
    boat_name     TEXT    NOT NULL,
    length_m      REAL    NOT NULL,
    beam_m        REAL,
    fuel          TEXT,
    engine        TEXT,
    top_speed_kn  REAL,
    customer_name    TEXT,
    customer_contact TEXT,
    created_at    TEXT    NOT NULL,
    -- A closed job is off the shop floor and may still be read.
    closed_at     TEXT,
    CONSTRAINT jobs_rules CHECK (rules IN ('us', 'iso')),
    CONSTRAINT jobs_fuel CHECK (fuel IN ('gasoline', 'diesel', 'electric')),
    CONSTRAINT jobs_engine CHECK (engine IN ('outboard', 'inboard', 'none')),
    CONSTRAINT jobs_customer_named CHECK (customer_contact IS NULL OR customer_name IS NOT NULL)
) STRICT;

-- The shop floor shows open jobs only.
CREATE INDEX jobs_open ON jobs (id) WHERE closed_at IS NULL;

CREATE TABLE locations (
    job          INTEGER NOT NULL,
    id           TEXT    NOT NULL,
    rank         INTEGER NOT NULL,
    version      INTEGER NOT NULL DEFAULT 1,
    name         TEXT    NOT NULL,
    engine_space INTEGER NOT NULL,
    wet          INTEGER NOT NULL,
    PRIMARY KEY (job, id),
    CONSTRAINT locations_rank_once UNIQUE (job, rank),
    CONSTRAINT locations_job FOREIGN KEY (job) REFERENCES jobs (id) ON DELETE CASCADE,
    CONSTRAINT locations_engine_space CHECK (engine_space IN (0, 1)),
    CONSTRAINT locations_wet CHECK (wet IN (0, 1))
) STRICT, WITHOUT ROWID;

CREATE TABLE raceways (
    job          INTEGER NOT NULL,
    id           TEXT    NOT NULL,
    rank         INTEGER NOT NULL,
    version      INTEGER NOT NULL DEFAULT 1,
    location_a      TEXT    NOT NULL,
    location_b      TEXT    NOT NULL,
    length_m     REAL,
    bore_mm      REAL,
    kind         TEXT    NOT NULL,
    engine_space INTEGER NOT NULL,
    pull_string  TEXT,
    PRIMARY KEY (job, id),
    CONSTRAINT raceways_rank_once UNIQUE (job, rank),
    CONSTRAINT raceways_job FOREIGN KEY (job) REFERENCES jobs (id) ON DELETE CASCADE,
    CONSTRAINT raceways_location_a FOREIGN KEY (job, location_a) REFERENCES locations (job, id),
    CONSTRAINT raceways_location_b FOREIGN KEY (job, location_b) REFERENCES locations (job, id),
    CONSTRAINT raceways_join_two_locations CHECK (location_a <> location_b),
    CONSTRAINT raceways_kind CHECK (kind IN ('tube', 'tray', 'gunwale', 'bulkhead')),
    CONSTRAINT raceways_engine_space CHECK (engine_space IN (0, 1)),
    CONSTRAINT raceways_pull_string CHECK (pull_string IN ('yes', 'no', 'not-needed'))
) STRICT, WITHOUT ROWID;

CREATE INDEX raceways_by_location_a ON raceways (job, location_a);
CREATE INDEX raceways_by_location_b ON raceways (job, location_b);

-- Every kind's fields side by side, as the job file has them; the checks keep each kind to its own.
CREATE TABLE points (
    job            INTEGER NOT NULL,
    id             TEXT    NOT NULL,
    rank           INTEGER NOT NULL,
    version        INTEGER NOT NULL DEFAULT 1,
    name           TEXT,
    kind           TEXT    NOT NULL,
    location          TEXT    NOT NULL,
    rating_a       REAL,
    -- How many; those of a switch panel have rows of their own.
    positions      INTEGER,
    open_circuit_v REAL,
    internal_mohm  REAL,
    capacity_ah    REAL,
    chemistry      TEXT,
    cranking_a     REAL,
    PRIMARY KEY (job, id),
    CONSTRAINT points_rank_once UNIQUE (job, rank),
    CONSTRAINT points_job FOREIGN KEY (job) REFERENCES jobs (id) ON DELETE CASCADE,
    CONSTRAINT points_location FOREIGN KEY (job, location) REFERENCES locations (job, id),
    CONSTRAINT points_kind CHECK (kind IN ('battery', 'charger', 'battery-switch', 'positive-bus',
        'negative-bus', 'fuse-block', 'switch-panel', 'junction-bar')),
    CONSTRAINT points_chemistry CHECK (chemistry IN ('flooded', 'gel', 'agm', 'lifepo4')),
    CONSTRAINT points_source_has_voltage CHECK ((kind IN ('battery', 'charger')) = (open_circuit_v IS NOT NULL)),
    CONSTRAINT points_only_sources_resist CHECK (kind IN ('battery', 'charger') OR internal_mohm IS NULL),
    CONSTRAINT points_only_batteries_store CHECK (kind = 'battery'
        OR (capacity_ah IS NULL AND chemistry IS NULL AND cranking_a IS NULL)),
    CONSTRAINT points_battery_has_no_rating CHECK (kind <> 'battery' OR rating_a IS NULL),
    CONSTRAINT points_counted_positions CHECK (kind NOT IN ('battery', 'charger', 'switch-panel') OR positions IS NULL)
) STRICT, WITHOUT ROWID;

CREATE INDEX points_by_location ON points (job, location);

CREATE TABLE panel_positions (
    job      INTEGER NOT NULL,
    point    TEXT    NOT NULL,
    -- Counted from 1, as a circuit's switch names it.
    position INTEGER NOT NULL,
    label    TEXT    NOT NULL,
    rating_a REAL,
    PRIMARY KEY (job, point, position),
    CONSTRAINT panel_positions_point FOREIGN KEY (job, point) REFERENCES points (job, id) ON DELETE CASCADE,
    CONSTRAINT panel_positions_from_1 CHECK (position >= 1)
) STRICT, WITHOUT ROWID;

CREATE TABLE feeders (
    job             INTEGER NOT NULL,
    id              TEXT    NOT NULL,
    rank            INTEGER NOT NULL,
    version         INTEGER NOT NULL DEFAULT 1,
    from_point      TEXT    NOT NULL,
    to_point        TEXT    NOT NULL,
    polarity        TEXT    NOT NULL,
    -- Absent: to be chosen.
    size            TEXT,
    insulation_c    REAL    NOT NULL,
    -- Absent: by the route.
    length_m        REAL,
    jacketed        INTEGER NOT NULL,
    bundle          INTEGER,
    cranking        INTEGER NOT NULL,
    -- Absent: no protection, and then none of its figures.
    protection_kind TEXT,
    rating_a        REAL,
    from_source_m   REAL,
    interrupt_a     REAL,
    resistance_mohm REAL,
    PRIMARY KEY (job, id),
    CONSTRAINT feeders_rank_once UNIQUE (job, rank),
    CONSTRAINT feeders_job FOREIGN KEY (job) REFERENCES jobs (id) ON DELETE CASCADE,
    CONSTRAINT feeders_from FOREIGN KEY (job, from_point) REFERENCES points (job, id),
    CONSTRAINT feeders_to FOREIGN KEY (job, to_point) REFERENCES points (job, id),
    CONSTRAINT feeders_polarity CHECK (polarity IN ('positive', 'negative')),
    CONSTRAINT feeders_jacketed CHECK (jacketed IN (0, 1)),
    CONSTRAINT feeders_cranking CHECK (cranking IN (0, 1)),
    CONSTRAINT feeders_protection_whole CHECK (protection_kind IS NOT NULL
        OR coalesce(rating_a, from_source_m, interrupt_a, resistance_mohm) IS NULL)
) STRICT, WITHOUT ROWID;

CREATE INDEX feeders_by_from ON feeders (job, from_point);
CREATE INDEX feeders_by_to ON feeders (job, to_point);

CREATE TABLE devices (
    job            INTEGER NOT NULL,
    id             TEXT    NOT NULL,
    rank           INTEGER NOT NULL,
    version        INTEGER NOT NULL DEFAULT 1,
    name           TEXT    NOT NULL,
    location          TEXT    NOT NULL,
    -- How it draws, and the one figure of that kind in its own unit: A, W or ohm.
    load_kind      TEXT,
    load_figure    REAL,
    drop_limit_pct REAL,
    max_fuse_a     REAL,
    inrush_a       REAL,
    inrush_s       REAL,
    light          TEXT,
    kept           INTEGER NOT NULL,
    PRIMARY KEY (job, id),
    CONSTRAINT devices_rank_once UNIQUE (job, rank),
    CONSTRAINT devices_job FOREIGN KEY (job) REFERENCES jobs (id) ON DELETE CASCADE,
    CONSTRAINT devices_location FOREIGN KEY (job, location) REFERENCES locations (job, id),
    CONSTRAINT devices_load_kind CHECK (load_kind IN ('constant-current', 'constant-power', 'resistance')),
    CONSTRAINT devices_load_whole CHECK ((load_kind IS NULL) = (load_figure IS NULL)),
    CONSTRAINT devices_inrush_whole CHECK ((inrush_a IS NULL) = (inrush_s IS NULL)),
    CONSTRAINT devices_light CHECK (light IN ('masthead', 'sides', 'port', 'starboard', 'stern', 'all-round')),
    CONSTRAINT devices_kept CHECK (kept IN (0, 1))
) STRICT, WITHOUT ROWID;

CREATE INDEX devices_by_location ON devices (job, location);

CREATE TABLE device_settings (
    job    INTEGER NOT NULL,
    device TEXT    NOT NULL,
    -- Counted from 1: a step names a setting by it.
    number INTEGER NOT NULL,
    name   TEXT    NOT NULL,
    value  TEXT,
    PRIMARY KEY (job, device, number),
    CONSTRAINT device_settings_device FOREIGN KEY (job, device) REFERENCES devices (job, id) ON DELETE CASCADE
) STRICT, WITHOUT ROWID;

CREATE TABLE circuits (
    job             INTEGER NOT NULL,
    id              TEXT    NOT NULL,
    rank            INTEGER NOT NULL,
    version         INTEGER NOT NULL DEFAULT 1,
    name            TEXT    NOT NULL,
    from_point      TEXT    NOT NULL,
    -- Absent: no protection, and then none of its figures.
    protection_kind TEXT,
    rating_a        REAL,
    from_source_m   REAL,
    interrupt_a     REAL,
    resistance_mohm REAL,
    switch_panel    TEXT,
    switch_position INTEGER,
    junction        TEXT,
    return_point    TEXT    NOT NULL,
    wiring          TEXT    NOT NULL,
    -- Absent: to be chosen.
    size            TEXT,
    insulation_c    REAL    NOT NULL,
    -- Absent: by the route.
    length_m        REAL,
    jacketed        INTEGER NOT NULL,
    bundle          INTEGER,
    color          TEXT,
    PRIMARY KEY (job, id),
    CONSTRAINT circuits_rank_once UNIQUE (job, rank),
    CONSTRAINT circuits_job FOREIGN KEY (job) REFERENCES jobs (id) ON DELETE CASCADE,
    CONSTRAINT circuits_from FOREIGN KEY (job, from_point) REFERENCES points (job, id),
    CONSTRAINT circuits_switch FOREIGN KEY (job, switch_panel, switch_position)
        REFERENCES panel_positions (job, point, position),
    CONSTRAINT circuits_junction FOREIGN KEY (job, junction) REFERENCES points (job, id),
    CONSTRAINT circuits_return FOREIGN KEY (job, return_point) REFERENCES points (job, id),
    CONSTRAINT circuits_switch_whole CHECK ((switch_panel IS NULL) = (switch_position IS NULL)),
    CONSTRAINT circuits_wiring CHECK (wiring IN ('chain', 'home-runs')),
    CONSTRAINT circuits_jacketed CHECK (jacketed IN (0, 1)),
    CONSTRAINT circuits_protection_whole CHECK (protection_kind IS NOT NULL
        OR coalesce(rating_a, from_source_m, interrupt_a, resistance_mohm) IS NULL)
) STRICT, WITHOUT ROWID;

CREATE INDEX circuits_by_from ON circuits (job, from_point);
CREATE INDEX circuits_by_switch ON circuits (job, switch_panel, switch_position);
CREATE INDEX circuits_by_junction ON circuits (job, junction);
CREATE INDEX circuits_by_return ON circuits (job, return_point);

-- The devices of a circuit, in order along the wire.
CREATE TABLE circuit_devices (
    job     INTEGER NOT NULL,
    circuit TEXT    NOT NULL,
    rank    INTEGER NOT NULL,
    device  TEXT    NOT NULL,
    PRIMARY KEY (job, circuit, rank),
    CONSTRAINT circuit_devices_circuit FOREIGN KEY (job, circuit) REFERENCES circuits (job, id) ON DELETE CASCADE,
    CONSTRAINT circuit_devices_device FOREIGN KEY (job, device) REFERENCES devices (job, id),
    CONSTRAINT circuit_devices_once UNIQUE (job, circuit, device)
) STRICT, WITHOUT ROWID;

CREATE INDEX circuit_devices_by_device ON circuit_devices (job, device);

-- Conductors that differ from their circuit. An end is a point or a device, so no foreign key can hold it.
CREATE TABLE conductor_overrides (
    job      INTEGER NOT NULL,
    circuit  TEXT    NOT NULL,
    rank     INTEGER NOT NULL,
    from_end TEXT    NOT NULL,
    to_end   TEXT    NOT NULL,
    length_m REAL,
    size     TEXT,
    PRIMARY KEY (job, circuit, rank),
    CONSTRAINT conductor_overrides_circuit FOREIGN KEY (job, circuit) REFERENCES circuits (job, id) ON DELETE CASCADE
) STRICT, WITHOUT ROWID;

CREATE TABLE modes (
    job     INTEGER NOT NULL,
    id      TEXT    NOT NULL,
    rank    INTEGER NOT NULL,
    version INTEGER NOT NULL DEFAULT 1,
    name    TEXT    NOT NULL,
    hours   REAL    NOT NULL,
    PRIMARY KEY (job, id),
    CONSTRAINT modes_rank_once UNIQUE (job, rank),
    CONSTRAINT modes_job FOREIGN KEY (job) REFERENCES jobs (id) ON DELETE CASCADE
) STRICT, WITHOUT ROWID;

CREATE TABLE mode_circuits (
    job     INTEGER NOT NULL,
    mode    TEXT    NOT NULL,
    rank    INTEGER NOT NULL,
    circuit TEXT    NOT NULL,
    share   REAL    NOT NULL,
    PRIMARY KEY (job, mode, rank),
    CONSTRAINT mode_circuits_mode FOREIGN KEY (job, mode) REFERENCES modes (job, id) ON DELETE CASCADE,
    CONSTRAINT mode_circuits_circuit FOREIGN KEY (job, circuit) REFERENCES circuits (job, id),
    CONSTRAINT mode_circuits_once UNIQUE (job, mode, circuit)
) STRICT, WITHOUT ROWID;

CREATE INDEX mode_circuits_by_circuit ON mode_circuits (job, circuit);

-- What the manufacturers of batteries and alternators say, where it differs from what is usual.

ALTER TABLE points ADD COLUMN peukert REAL
    CONSTRAINT points_only_batteries_weigh CHECK (peukert IS NULL OR kind = 'battery');
ALTER TABLE points ADD COLUMN floor_pct REAL
    CONSTRAINT points_only_batteries_have_a_floor CHECK (floor_pct IS NULL OR kind = 'battery');
ALTER TABLE points ADD COLUMN low_v REAL
    CONSTRAINT points_only_batteries_run_low CHECK (low_v IS NULL OR kind = 'battery');
ALTER TABLE points ADD COLUMN idle_a REAL
    CONSTRAINT points_only_alternators_idle CHECK (idle_a IS NULL OR kind = 'charger');
ALTER TABLE modes ADD COLUMN idling INTEGER NOT NULL DEFAULT 0
    CONSTRAINT modes_idling CHECK (idling IN (0, 1));

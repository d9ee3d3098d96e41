-- What an alternator gives by the speed of its engine, and the speed in a mode: until now what it gives at idle, and
-- whether the engine idles. An idling engine becomes one of 700 turns a minute, which is usual; nothing else is known
-- of it, and every figure stays as it was.
ALTER TABLE points ADD COLUMN curve TEXT
    CONSTRAINT points_only_alternators_have_a_curve CHECK (curve IS NULL OR (kind = 'charger' AND json_valid(curve)));
UPDATE points SET curve = json_array(json_object('rpm', 700, 'a', idle_a)) WHERE idle_a IS NOT NULL;
ALTER TABLE points DROP COLUMN idle_a;
ALTER TABLE modes ADD COLUMN rpm REAL CONSTRAINT modes_rpm CHECK (rpm IS NULL OR rpm > 0);
UPDATE modes SET rpm = 700 WHERE idling;
ALTER TABLE modes DROP COLUMN idling;

-- Jumpers have numbers of their own, 1 to the switch and 2 to the junction bar, and devices' wires begin at 3.
-- Until now wires were counted from the source, so that those of a circuit without one of the jumpers get
-- other numbers. What was done to a wire is told by its number: it follows.

CREATE TABLE wires_renumbered (
    job INTEGER NOT NULL,
    -- As subjects are written: conductor/C01-3, end/C01-3a.
    was TEXT    NOT NULL,
    "is" TEXT   NOT NULL
) STRICT;

WITH RECURSIVE
jumpers AS (
    SELECT job, id,
           switch_panel IS NOT NULL AND switch_panel <> from_point AS to_switch,
           junction IS NOT NULL AND junction <> coalesce(switch_panel, from_point) AS to_junction,
           (SELECT count(*) FROM circuit_devices WHERE job = circuits.job AND circuit = circuits.id) AS devices
    FROM circuits
),
wires (job, id, to_switch, jumpers, number, last) AS (
    SELECT job, id, to_switch, to_switch + to_junction, 1, to_switch + to_junction + 2 * devices FROM jumpers
    WHERE to_switch + to_junction < 2
    UNION ALL
    SELECT job, id, to_switch, jumpers, number + 1, last FROM wires WHERE number < last
),
numbers AS (
    SELECT job, id, number AS was,
           CASE WHEN number > jumpers THEN number - jumpers + 2 WHEN to_switch THEN 1 ELSE 2 END AS "is"
    FROM wires WHERE number <= last
)
INSERT INTO wires_renumbered (job, was, "is")
SELECT job, 'conductor/' || id || '-' || was, 'conductor/' || id || '-' || "is" FROM numbers WHERE was <> "is"
UNION ALL
SELECT job, 'end/' || id || '-' || was || side, 'end/' || id || '-' || "is" || side
FROM numbers JOIN (SELECT 'a' AS side UNION ALL SELECT 'b') WHERE was <> "is";

-- Records are never changed; only what they are filed under is, this once.
DROP TRIGGER ticks_never_change;
DROP TRIGGER releases_never_change;
DROP TRIGGER crimp_pulls_never_change;
DROP TRIGGER end_notes_never_change;

UPDATE ticks SET step = wire."is" || substr(step, length(wire.was) + 1)
FROM wires_renumbered AS wire
WHERE wire.job = ticks.job AND substr(step, 1, length(wire.was) + 1) = wire.was || '/';

-- An obstacle is a step, or a finding with its subject at the end.
UPDATE releases SET obstacle = wire."is" || substr(obstacle, length(wire.was) + 1)
FROM wires_renumbered AS wire
WHERE wire.job = releases.job AND substr(obstacle, 1, length(wire.was) + 1) = wire.was || '/';

UPDATE releases SET obstacle = substr(obstacle, 1, length(obstacle) - length(wire.was)) || wire."is"
FROM wires_renumbered AS wire
WHERE wire.job = releases.job AND obstacle LIKE 'finding/%'
  AND substr(obstacle, -length(wire.was) - 1) = '/' || wire.was;

UPDATE crimp_pulls SET end = substr(wire."is", 5) FROM wires_renumbered AS wire
WHERE wire.job = crimp_pulls.job AND wire.was = 'end/' || crimp_pulls.end;

UPDATE end_notes SET end = substr(wire."is", 5) FROM wires_renumbered AS wire
WHERE wire.job = end_notes.job AND wire.was = 'end/' || end_notes.end;

UPDATE photos SET subject = wire."is" FROM wires_renumbered AS wire
WHERE wire.job = photos.job AND wire.was = photos.subject;

DROP TABLE wires_renumbered;

CREATE TRIGGER ticks_never_change BEFORE UPDATE ON ticks
BEGIN SELECT RAISE(ABORT, 'a tick is never changed: add another'); END;

CREATE TRIGGER releases_never_change BEFORE UPDATE ON releases
BEGIN SELECT RAISE(ABORT, 'a release is never changed'); END;

CREATE TRIGGER crimp_pulls_never_change BEFORE UPDATE ON crimp_pulls
BEGIN SELECT RAISE(ABORT, 'a pull is never changed: add another'); END;

CREATE TRIGGER end_notes_never_change BEFORE UPDATE ON end_notes
BEGIN SELECT RAISE(ABORT, 'a note is never changed: add another'); END;

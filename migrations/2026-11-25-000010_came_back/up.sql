-- How whoever cannot come held their place, so that they hold it as before when they come after
-- all: by a rota, taken or given, and left alone by the planner or not.
--
-- Old code runs on this: it adds columns that may be left out. What old code gives back is given.

ALTER TABLE calls
    ADD COLUMN held_how text,
    ADD COLUMN held_kept boolean,
    ADD CONSTRAINT calls_held_how_known CHECK (held_how IN ('taken', 'assigned', 'rota', 'duty'));

DROP TABLE call_answers;
DROP TABLE calls;
ALTER TABLE sites DROP COLUMN absences_cost;
ALTER TABLE absences DROP COLUMN excused;

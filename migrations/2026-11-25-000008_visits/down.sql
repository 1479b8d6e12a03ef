DROP TABLE closure_visits;

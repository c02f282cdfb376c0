-- The newest tests of all firms, for those who see all: where (tested_on, id) < … order by tested_on desc, id desc.
-- Without it an auditor's page sorts every test there is. A firm's list has field_test_newest, a program's has
-- test_program_newest. Days and ids mostly grow, so that a test adds its entry near the end.
create index field_test_newest_of_all on ll.field_test (tested_on, id);

-- What is shared with a firm, for the wall around the history of a plant: where to_firm = ….
create index plant_history_consent_to on ll.plant_history_consent (to_firm, plant_id, from_firm, turn);

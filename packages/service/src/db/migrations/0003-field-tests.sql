-- Submitted tests, what they lean on, what is noted beside them, and to which programs they are given.

-- The records an evaluation leaned on, as canonical bytes. Tests of a firm on one plant may share one.
create table ll.context_snapshot (
  firm_id uuid not null,
  sha256 ll.digest not null,
  plant_id uuid not null,
  body bytea not null,
  recorded_at timestamptz not null default now(),
  primary key (firm_id, sha256),
  foreign key (firm_id, plant_id) references ll.firm_plant,
  constraint context_snapshot_hash_check check (sha256(body) = sha256)
);

-- A test as submitted. Nothing is overwritten: a correction is a later revision.
-- Findings are json, since they are shown and never searched; the evaluation itself is recomputed.
create table ll.field_test (
  id uuid primary key,
  firm_id uuid not null,
  plant_id uuid not null,
  tester_id uuid not null,
  tested_on date not null,
  received_at timestamptz not null,
  edition text not null check (edition ~ '^[0-9]{4}-[0-9]{1,3}$'),
  -- The bytes received. The salt goes into hashes that leave the house, so that nobody finds a sheet by guessing.
  raw bytea not null,
  raw_sha256 ll.digest not null,
  salt bytea not null check (octet_length(salt) = 16),
  context_sha256 ll.digest not null,
  evaluation_sha256 ll.digest not null,
  soundness text not null check (soundness in ('sound', 'in-question', 'unsound')),
  findings json not null check (json_typeof(findings) = 'array'),
  -- Main quantities of the run that stands for the plant's normal condition, SI; null where not resolved.
  flow_m3_s double precision,
  head_m double precision,
  lift_m double precision,
  input_power_w double precision,
  efficiency double precision,
  -- Half-width of the 95 % interval of efficiency.
  efficiency_u double precision,
  specific_capacity_m2_s double precision,
  energy_per_volume_j_m3 double precision,
  key_id text not null,
  -- 1 for a test as first submitted; a later revision names the one it replaces.
  revision integer not null default 1 check (revision between 1 and 10000),
  revision_of uuid,
  unique (firm_id, id),
  -- The newest tests of a firm, page by page, read backwards: where firm_id = … and (tested_on, id) < …
  -- order by tested_on desc, id desc. Also whether this very sheet was sent before, since equal sheets tell
  -- of the same day: where firm_id = … and tested_on = … and raw_sha256 = ….
  constraint field_test_newest unique (firm_id, tested_on, id),
  constraint field_test_hash_check check (sha256(raw) = raw_sha256),
  constraint field_test_succession_check check ((revision = 1) = (revision_of is null) and revision_of <> id),
  -- Above every number stands NaN, so that this refuses it together with the infinities.
  constraint field_test_finite_check check (
    greatest(abs(flow_m3_s), abs(head_m), abs(lift_m), abs(input_power_w), abs(efficiency), abs(efficiency_u),
             abs(specific_capacity_m2_s), abs(energy_per_volume_j_m3)) < 'infinity'),
  -- With firm_id in each key, a row that names another firm's plant, tester or test can't exist.
  constraint field_test_plant_fk foreign key (firm_id, plant_id) references ll.firm_plant,
  constraint field_test_tester_fk foreign key (firm_id, tester_id) references ll.tester (firm_id, id),
  constraint field_test_context_fk foreign key (firm_id, context_sha256) references ll.context_snapshot,
  constraint field_test_revision_fk foreign key (firm_id, revision_of) references ll.field_test (firm_id, id)
);
-- The history of a plant, over the firms the reader may see: where plant_id = … order by tested_on desc, id desc.
create index field_test_plant on ll.field_test (plant_id, tested_on desc, id desc);
-- A test has at most one successor: where revision_of = ….
create unique index field_test_successor on ll.field_test (revision_of) where revision_of is not null;
-- No index on received_at: ids are UUIDv7, so the primary key is in order of arrival.

-- lz4 costs a fraction of the older compression and gives nearly as much; not every build of Postgres has it.
do $$ begin
  alter table ll.field_test alter column raw set compression lz4;
  alter table ll.context_snapshot alter column body set compression lz4;
exception when feature_not_supported or invalid_parameter_value then null; end $$;

-- Names, telephone numbers, free text. Erased, the row keeps only the hash, which without its salt says nothing.
create table ll.test_note (
  id uuid primary key,
  firm_id uuid not null,
  test_id uuid not null,
  sha256 ll.digest not null,
  salt bytea check (octet_length(salt) = 16),
  body bytea,
  key_id text not null,
  created_at timestamptz not null default now(),
  erased_at timestamptz,
  foreign key (firm_id, test_id) references ll.field_test (firm_id, id),
  constraint test_note_hash_check check (sha256(salt || body) = sha256),
  constraint test_note_erasure_check
    check ((erased_at is null) = (body is not null) and (erased_at is null) = (salt is not null))
);
-- The notes of a test: where test_id = … order by created_at.
create index test_note_test on ll.test_note (test_id, created_at);

create function ll.only_erase() returns trigger language plpgsql as $$
begin
  if old.erased_at is null and new.erased_at is not null
     and row(new.id, new.firm_id, new.test_id, new.sha256, new.key_id, new.created_at)
         is not distinct from row(old.id, old.firm_id, old.test_id, old.sha256, old.key_id, old.created_at) then
    return new;
  end if;
  raise exception 'a note may be erased once and is not changed otherwise' using errcode = '55000';
end $$;
revoke execute on function ll.only_erase() from public;
create trigger only_erase before update on ll.test_note for each row execute function ll.only_erase();
create trigger append_only before delete or truncate on ll.test_note
  for each statement execute function ll.refuse_change();
alter table ll.test_note enable always trigger only_erase;
alter table ll.test_note enable always trigger append_only;

-- A test given to a program with the grower's consent, outside the hashed sheet. Turns alternate: odd
-- ones give, even ones take back; the highest turn of a test and a program is what counts.
create table ll.test_program (
  test_id uuid not null,
  program_id uuid not null references ll.program,
  turn smallint not null check (turn between 1 and 1000),
  consent text not null check (consent in ('given', 'withdrawn')),
  -- When the grower said so, and when it was recorded.
  consented_at timestamptz not null,
  recorded_at timestamptz not null default now(),
  firm_id uuid not null,
  -- The day of the test, repeated so that a program's newest tests come straight from an index.
  tested_on date not null,
  key_id text not null,
  previous_turn smallint generated always as (nullif(turn - 1, 0)::smallint) stored,
  primary key (test_id, program_id, turn),
  constraint test_program_alternation_check check ((turn % 2 = 1) = (consent = 'given')),
  foreign key (test_id, program_id, previous_turn) references ll.test_program (test_id, program_id, turn),
  constraint test_program_test_fk
    foreign key (firm_id, tested_on, test_id) references ll.field_test (firm_id, tested_on, id)
);
-- A program's newest tests: where program_id = … order by tested_on desc, test_id desc, joined to field_test.
create index test_program_newest on ll.test_program (program_id, tested_on desc, test_id desc);

select ll.keep_append_only(t) from unnest(array['ll.context_snapshot', 'll.field_test', 'll.test_program']::regclass[]) t;
select ll.wall_in(t)
  from unnest(array['ll.context_snapshot', 'll.field_test', 'll.test_note', 'll.test_program']::regclass[]) t;

-- Writer: adds, and reads nothing. The rows it adds were authorised under their firm's own policies before.
grant insert on ll.context_snapshot, ll.field_test to ll_writer;
create policy writer on ll.context_snapshot for insert to ll_writer with check (true);
create policy writer on ll.field_test for insert to ll_writer with check (true);

-- Firm: its own.
grant select on ll.context_snapshot, ll.field_test to ll_firm;
grant select, insert on ll.test_note, ll.test_program to ll_firm;
grant update (salt, body, erased_at) on ll.test_note to ll_firm;
create policy firm on ll.context_snapshot for select to ll_firm using (firm_id = ll.current_firm());
create policy firm on ll.field_test for select to ll_firm using (firm_id = ll.current_firm());
create policy firm on ll.test_note for all to ll_firm
  using (firm_id = ll.current_firm()) with check (firm_id = ll.current_firm());
create policy firm on ll.test_program for all to ll_firm
  using (firm_id = ll.current_firm()) with check (firm_id = ll.current_firm());

-- Program: what it was given and what was not taken back, with the plants and firms that go with it. Never the notes.
grant select on ll.test_program, ll.field_test, ll.context_snapshot, ll.plant, ll.plant_equipment to ll_program;
create policy program on ll.test_program for select to ll_program using (program_id = ll.current_program());
create policy program on ll.field_test for select to ll_program
  using (exists (select from ll.test_program given
                 where given.test_id = field_test.id and given.program_id = ll.current_program()
                   and given.consent = 'given'
                   and not exists (select from ll.test_program later
                                   where later.test_id = given.test_id and later.program_id = given.program_id
                                     and later.turn > given.turn)));
create policy program on ll.plant for select to ll_program
  using (exists (select from ll.field_test given where given.plant_id = plant.id));
create policy program on ll.plant_equipment for select to ll_program
  using (exists (select from ll.field_test given where given.plant_id = plant_equipment.plant_id));
create policy program on ll.firm for select to ll_program
  using (exists (select from ll.test_program given
                 where given.firm_id = firm.id and given.program_id = ll.current_program()));
create policy program on ll.context_snapshot for select to ll_program
  using (exists (select from ll.field_test given
                 where given.plant_id = context_snapshot.plant_id and given.firm_id = context_snapshot.firm_id
                   and given.context_sha256 = context_snapshot.sha256));

-- Auditor: everything, to read.
grant select on ll.context_snapshot, ll.field_test, ll.test_note, ll.test_program to ll_auditor;
create policy auditor on ll.context_snapshot for select to ll_auditor using (true);
create policy auditor on ll.field_test for select to ll_auditor using (true);
create policy auditor on ll.test_note for select to ll_auditor using (true);
create policy auditor on ll.test_program for select to ll_auditor using (true);

-- Keeper: all tests with their contexts, to study an edition over them.
grant select on ll.context_snapshot, ll.field_test to ll_keeper;
create policy keeper on ll.context_snapshot for select to ll_keeper using (true);
create policy keeper on ll.field_test for select to ll_keeper using (true);

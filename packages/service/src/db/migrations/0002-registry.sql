-- What a firm registers before it can submit: plants, testers, instruments. Everything an evaluation
-- leans on is kept as revisions that are added and never changed, so that any day can be looked up again.
-- A key_id names the credential that recorded a row; it is no foreign key, since a key is not the only credential.

-- A plant is shared: one code for all its firms and programs. No person, nothing of one firm.
create table ll.plant (
  id uuid primary key,
  code ll.code not null unique,
  kind text not null check (kind in ('well', 'booster')),
  region ll.code,
  registered_by uuid not null references ll.firm,
  created_at timestamptz not null default now()
);

-- A firm's access to a plant, and the name the firm gives it.
create table ll.firm_plant (
  firm_id uuid not null references ll.firm,
  plant_id uuid not null references ll.plant,
  reference text check (length(reference) between 1 and 80),
  created_at timestamptz not null default now(),
  primary key (firm_id, plant_id)
);

-- Equipment of a plant from a day on. In force on a day: the greatest (effective_from, revision) up to it.
create table ll.plant_equipment (
  plant_id uuid not null references ll.plant,
  revision integer not null check (revision between 1 and 100000),
  effective_from date not null,
  facts jsonb not null check (jsonb_typeof(facts) = 'object'),
  recorded_by uuid not null,
  key_id text not null,
  recorded_at timestamptz not null default now(),
  primary key (plant_id, revision),
  -- Only a firm with access to the plant describes it.
  foreign key (recorded_by, plant_id) references ll.firm_plant (firm_id, plant_id)
);

-- A tester is known by code; the name is personal data, may be absent and may be cleared.
create table ll.tester (
  id uuid primary key,
  firm_id uuid not null references ll.firm,
  code ll.code not null,
  name text check (length(name) between 1 and 200),
  created_at timestamptz not null default now(),
  -- What other tables refer to, so that no row of one firm can name a tester of another.
  unique (firm_id, id),
  unique (firm_id, code)
);

-- A renewal is a row with a later valid_from; a correction is a higher revision of the same
-- (code, valid_from), and a qualification recorded by mistake is corrected by a withdrawn one.
create table ll.tester_qualification (
  firm_id uuid not null,
  tester_id uuid not null,
  code ll.code not null,
  valid_from date not null,
  valid_until date not null,
  revision integer not null default 1 check (revision between 1 and 1000),
  withdrawn boolean not null default false,
  key_id text not null,
  recorded_at timestamptz not null default now(),
  primary key (tester_id, code, valid_from, revision),
  foreign key (firm_id, tester_id) references ll.tester (firm_id, id),
  check (valid_until >= valid_from)
);

create table ll.instrument (
  id uuid primary key,
  firm_id uuid not null references ll.firm,
  code ll.code not null,
  kind text not null check (kind ~ '^[a-z][a-z-]{1,59}$'),
  created_at timestamptz not null default now(),
  unique (firm_id, id),
  unique (firm_id, code)
);

-- Resolution, scale, accuracy and certificate of an instrument from a day on; a new certificate is a
-- new revision. In force on a day: the greatest (effective_from, revision) up to it.
create table ll.instrument_revision (
  firm_id uuid not null,
  instrument_id uuid not null,
  revision integer not null check (revision between 1 and 100000),
  effective_from date not null,
  facts jsonb not null check (jsonb_typeof(facts) = 'object'),
  key_id text not null,
  recorded_at timestamptz not null default now(),
  primary key (instrument_id, revision),
  foreign key (firm_id, instrument_id) references ll.instrument (firm_id, id)
);

select ll.keep_append_only(t)
  from unnest(array['ll.plant_equipment', 'll.tester_qualification', 'll.instrument_revision']::regclass[]) t;
select ll.wall_in(t)
  from unnest(array['ll.plant', 'll.firm_plant', 'll.plant_equipment', 'll.tester', 'll.tester_qualification',
                    'll.instrument', 'll.instrument_revision']::regclass[]) t;

-- Firm: its own rows, and the plants it has access to.
grant select, insert on ll.plant, ll.firm_plant, ll.plant_equipment, ll.tester, ll.tester_qualification,
  ll.instrument, ll.instrument_revision to ll_firm;
grant update (reference) on ll.firm_plant to ll_firm;
grant update (name) on ll.tester to ll_firm;

create policy firm on ll.plant for select to ll_firm
  using (registered_by = ll.current_firm()
         or exists (select from ll.firm_plant mine where mine.plant_id = plant.id and mine.firm_id = ll.current_firm()));
create policy firm_adds on ll.plant for insert to ll_firm with check (registered_by = ll.current_firm());
create policy firm on ll.firm_plant for select to ll_firm using (firm_id = ll.current_firm());
create policy firm_renames on ll.firm_plant for update to ll_firm
  using (firm_id = ll.current_firm()) with check (firm_id = ll.current_firm());
-- A firm gives itself access only to what it registered; access to a plant of others is given to it.
create policy firm_adds on ll.firm_plant for insert to ll_firm
  with check (firm_id = ll.current_firm()
              and exists (select from ll.plant own where own.id = plant_id and own.registered_by = ll.current_firm()));
create policy firm on ll.plant_equipment for select to ll_firm
  using (exists (select from ll.firm_plant mine
                 where mine.plant_id = plant_equipment.plant_id and mine.firm_id = ll.current_firm()));
create policy firm_adds on ll.plant_equipment for insert to ll_firm with check (recorded_by = ll.current_firm());
create policy firm on ll.tester for all to ll_firm
  using (firm_id = ll.current_firm()) with check (firm_id = ll.current_firm());
create policy firm on ll.tester_qualification for all to ll_firm
  using (firm_id = ll.current_firm()) with check (firm_id = ll.current_firm());
create policy firm on ll.instrument for all to ll_firm
  using (firm_id = ll.current_firm()) with check (firm_id = ll.current_firm());
create policy firm on ll.instrument_revision for all to ll_firm
  using (firm_id = ll.current_firm()) with check (firm_id = ll.current_firm());

-- Auditor: everything, to read.
grant select on ll.plant, ll.firm_plant, ll.plant_equipment, ll.tester, ll.tester_qualification,
  ll.instrument, ll.instrument_revision to ll_auditor;
create policy auditor on ll.plant for select to ll_auditor using (true);
create policy auditor on ll.firm_plant for select to ll_auditor using (true);
create policy auditor on ll.plant_equipment for select to ll_auditor using (true);
create policy auditor on ll.tester for select to ll_auditor using (true);
create policy auditor on ll.tester_qualification for select to ll_auditor using (true);
create policy auditor on ll.instrument for select to ll_auditor using (true);
create policy auditor on ll.instrument_revision for select to ll_auditor using (true);

-- Keeper: plants and their equipment, for studies over all tests; no firm's registry.
grant select on ll.plant, ll.plant_equipment to ll_keeper;
create policy keeper on ll.plant for select to ll_keeper using (true);
create policy keeper on ll.plant_equipment for select to ll_keeper using (true);

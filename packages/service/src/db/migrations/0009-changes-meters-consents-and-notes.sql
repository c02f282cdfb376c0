-- Who changed what in the registry; meters and field checks; access and one history of a plant by the grower's
-- consent; notes whose hashes stand in the ledger.

-- A change of a record, added in the transaction that makes it. Ordered by id, which is a UUIDv7.
create table ll.registry_change (
  id uuid primary key,
  noun text not null check (noun in ('firm', 'program', 'plant', 'tester', 'instrument')),
  subject uuid not null,
  -- Whose record it is. Null for what administrators keep, and for what all firms with access to a plant share.
  firm_id uuid references ll.firm,
  -- The firm whose key made the change; null for an administrator's.
  by_firm uuid references ll.firm,
  deed text not null check (deed ~ '^[a-z][a-z-]{1,39}$'),
  -- [{"member", "change", "from"?, "to"?}]. Of a personal member never the value: nothing is taken out of here.
  changes jsonb not null check (jsonb_typeof(changes) = 'array'),
  key_id text not null,
  recorded_at timestamptz not null,
  constraint registry_change_owner_check check (case when noun in ('tester', 'instrument') then firm_id is not null
                                                     when noun in ('firm', 'program') then firm_id is null
                                                     else true end)
);
-- The changes of one record, oldest first: where subject = … order by id.
create index registry_change_subject on ll.registry_change (subject, id);

-- A utility meter of a plant from a day on. The last word on (plant, number, first day) is its greatest revision;
-- one entered by mistake is corrected by a withdrawn one.
create table ll.plant_meter (
  plant_id uuid not null references ll.plant,
  number ll.code not null,
  effective_from date not null,
  effective_until date,
  revision integer not null check (revision between 1 and 1000),
  withdrawn boolean not null default false,
  recorded_by uuid not null,
  key_id text not null,
  recorded_at timestamptz not null default now(),
  primary key (plant_id, number, effective_from, revision),
  -- Only a firm with access to the plant describes it.
  foreign key (recorded_by, plant_id) references ll.firm_plant (firm_id, plant_id),
  check (effective_until >= effective_from)
);
-- Plants by the number on their meter: where number = ….
create index plant_meter_number on ll.plant_meter (number);
create view ll.plant_meter_word with (security_invoker = true) as
  select plant_id, number, effective_from, effective_until
  from ll.plant_meter word
  where not withdrawn
    and not exists (select from ll.plant_meter later
                    where later.plant_id = word.plant_id and later.number = word.number
                      and later.effective_from = word.effective_from and later.revision > word.revision);

-- A check of an instrument against a reference, and what came of it, as computed when it was recorded.
create table ll.instrument_check (
  id uuid primary key,
  firm_id uuid not null,
  instrument_id uuid not null,
  checked_on date not null,
  reference_value double precision not null,
  shown_value double precision not null,
  unit text not null check (length(unit) between 1 and 20),
  -- Shown less reference, in the unit; and how far it may be off, where an accuracy is stated.
  difference double precision not null,
  allowed double precision check (allowed >= 0),
  -- Revision of the instrument that stated the accuracy.
  judged_by integer,
  outcome text not null check (outcome in ('within', 'outside', 'no-accuracy-stated')),
  key_id text not null,
  recorded_at timestamptz not null,
  foreign key (firm_id, instrument_id) references ll.instrument (firm_id, id),
  foreign key (instrument_id, judged_by) references ll.instrument_revision (instrument_id, revision),
  constraint instrument_check_finite_check
    check (greatest(abs(reference_value), abs(shown_value), abs(difference), abs(allowed)) < 'infinity'),
  constraint instrument_check_judged_check
    check ((outcome = 'no-accuracy-stated') = (allowed is null) and (allowed is null) = (judged_by is null))
);
-- The checks of an instrument: where instrument_id = … order by id.
create index instrument_check_instrument on ll.instrument_check (instrument_id, id);

-- A firm asks for access to a plant of which it knows the code alone; the foreign key says whether there is one.
create table ll.access_request (
  id uuid primary key,
  firm_id uuid not null references ll.firm,
  plant_code ll.code not null references ll.plant (code),
  consented_at timestamptz not null,
  evidence ll.code not null,
  key_id text not null,
  requested_at timestamptz not null,
  unique (firm_id, id)
);
create index access_request_plant on ll.access_request (firm_id, plant_code);
create table ll.access_decision (
  request_id uuid primary key,
  firm_id uuid not null,
  outcome text not null check (outcome in ('granted', 'declined')),
  reason text check (reason ~ '^[a-z][a-z-]{1,39}$'),
  key_id text not null,
  decided_at timestamptz not null,
  foreign key (firm_id, request_id) references ll.access_request (firm_id, id),
  constraint access_decision_declined_check check ((outcome = 'declined') = (reason is not null))
);

-- The grower lets one firm's tests of a plant be seen, as figures, by another. Turns as in test_program.
create table ll.plant_history_consent (
  plant_id uuid not null,
  from_firm uuid not null,
  to_firm uuid not null references ll.firm,
  turn smallint not null check (turn between 1 and 1000),
  consent text not null check (consent in ('given', 'withdrawn')),
  consented_at timestamptz not null,
  -- What shows the consent; a withdrawal needs nothing to show.
  evidence ll.code,
  recorded_at timestamptz not null,
  key_id text not null,
  previous_turn smallint generated always as (nullif(turn - 1, 0)::smallint) stored,
  primary key (plant_id, from_firm, to_firm, turn),
  foreign key (plant_id, from_firm, to_firm, previous_turn)
    references ll.plant_history_consent (plant_id, from_firm, to_firm, turn),
  -- Only a firm that tests the plant has a history of it to share.
  foreign key (from_firm, plant_id) references ll.firm_plant (firm_id, plant_id),
  constraint plant_history_consent_alternation_check check ((turn % 2 = 1) = (consent = 'given')),
  constraint plant_history_consent_evidence_check check ((consent = 'given') = (evidence is not null)),
  constraint plant_history_consent_firms_check check (from_firm <> to_firm)
);

alter table ll.test_program add column evidence ll.code;

select ll.keep_append_only(t), ll.wall_in(t)
  from unnest(array['ll.registry_change', 'll.plant_meter', 'll.instrument_check', 'll.access_request',
                    'll.access_decision', 'll.plant_history_consent']::regclass[]) t;

-- Firm: its own rows, and what is shared of the plants it has access to.
grant select, insert on ll.registry_change, ll.plant_meter, ll.instrument_check, ll.access_request,
  ll.plant_history_consent to ll_firm;
grant select on ll.plant_meter_word, ll.access_decision to ll_firm;
create policy firm on ll.registry_change for select to ll_firm
  using (firm_id = ll.current_firm()
         or (firm_id is null and noun = 'plant'
             and exists (select from ll.firm_plant mine
                         where mine.plant_id = registry_change.subject and mine.firm_id = ll.current_firm())));
create policy firm_adds on ll.registry_change for insert to ll_firm
  with check (by_firm = ll.current_firm()
              and (firm_id = ll.current_firm()
                   or (firm_id is null and noun = 'plant'
                       and exists (select from ll.firm_plant mine
                                   where mine.plant_id = registry_change.subject
                                     and mine.firm_id = ll.current_firm()))));
create policy firm on ll.plant_meter for select to ll_firm
  using (exists (select from ll.firm_plant mine
                 where mine.plant_id = plant_meter.plant_id and mine.firm_id = ll.current_firm()));
create policy firm_adds on ll.plant_meter for insert to ll_firm with check (recorded_by = ll.current_firm());
create policy firm on ll.instrument_check for all to ll_firm
  using (firm_id = ll.current_firm()) with check (firm_id = ll.current_firm());
create policy firm on ll.access_request for all to ll_firm
  using (firm_id = ll.current_firm()) with check (firm_id = ll.current_firm());
create policy firm on ll.access_decision for select to ll_firm using (firm_id = ll.current_firm());
create policy firm on ll.plant_history_consent for all to ll_firm
  using (from_firm = ll.current_firm()) with check (from_firm = ll.current_firm());

-- The region is one for all firms: the firm that registered the plant corrects it, or an administrator.
grant update (region) on ll.plant to ll_firm, ll_admin;
create policy firm_corrects on ll.plant for update to ll_firm
  using (registered_by = ll.current_firm()) with check (registered_by = ll.current_firm());
create policy admin_corrects on ll.plant for update to ll_admin using (true) with check (true);
grant update (kind) on ll.instrument to ll_firm;

-- Administrator: changes of what it keeps, meters to find a plant by, and requests to decide.
grant select, insert on ll.registry_change, ll.access_decision to ll_admin;
grant select on ll.plant_meter, ll.plant_meter_word, ll.access_request to ll_admin;
create policy admin on ll.registry_change for select to ll_admin using (noun in ('firm', 'program', 'plant'));
create policy admin_adds on ll.registry_change for insert to ll_admin
  with check (by_firm is null and noun in ('firm', 'program', 'plant'));
create policy admin on ll.plant_meter for select to ll_admin using (true);
create policy admin on ll.access_request for select to ll_admin using (true);
create policy admin on ll.access_decision for all to ll_admin using (true) with check (true);

-- Auditor: everything, to read.
grant select on ll.registry_change, ll.plant_meter, ll.plant_meter_word, ll.instrument_check, ll.access_request,
  ll.access_decision, ll.plant_history_consent to ll_auditor;
create policy auditor on ll.registry_change for select to ll_auditor using (true);
create policy auditor on ll.plant_meter for select to ll_auditor using (true);
create policy auditor on ll.instrument_check for select to ll_auditor using (true);
create policy auditor on ll.access_request for select to ll_auditor using (true);
create policy auditor on ll.access_decision for select to ll_auditor using (true);
create policy auditor on ll.plant_history_consent for select to ll_auditor using (true);

-- What a firm may learn of records that aren't its own comes from two functions of a role that nobody is. Its
-- policies are the wall, and its columns are all it could tell: no sheet, no tester, no note, no id of a firm.
grant usage on schema ll to ll_sharing;
grant execute on function ll.current_firm() to ll_sharing;
grant select (id, code) on ll.plant to ll_sharing;
grant select (plant_id, number, effective_from, effective_until, revision, withdrawn) on ll.plant_meter to ll_sharing;
grant select on ll.plant_meter_word to ll_sharing;
grant select (plant_id, from_firm, to_firm, turn, consent) on ll.plant_history_consent to ll_sharing;
grant select (id, firm_id, plant_id, tested_on, edition, soundness, efficiency, efficiency_u,
              specific_capacity_m2_s, lift_m, revision_of) on ll.field_test to ll_sharing;
create policy sharing on ll.plant for select to ll_sharing using (true);
create policy sharing on ll.plant_meter for select to ll_sharing using (true);
create policy sharing on ll.plant_history_consent for select to ll_sharing using (to_firm = ll.current_firm());
create policy sharing on ll.field_test for select to ll_sharing
  using (exists (select from ll.plant_history_consent word
                 where word.plant_id = field_test.plant_id and word.from_firm = field_test.firm_id
                   and word.to_firm = ll.current_firm() and word.consent = 'given'
                   and not exists (select from ll.plant_history_consent later
                                   where later.plant_id = word.plant_id and later.from_firm = word.from_firm
                                     and later.to_firm = word.to_firm and later.turn > word.turn)));

grant create on schema ll to ll_sharing;
set role ll_sharing;

-- Whether there is a plant with the code, or with a meter of that number in place on the day. Nothing else of it.
create function ll.plant_known(asked_code text, asked_number text, on_day date) returns boolean
  language sql stable security definer set search_path = ll, pg_temp as $$
  select exists (select from ll.plant where code = asked_code)
      or exists (select from ll.plant_meter_word
                 where number = asked_number and effective_from <= on_day
                   and coalesce(effective_until >= on_day, true));
$$;

-- Figures of other firms' tests of a plant that the grower shares with the firm of this transaction, oldest first.
create function ll.shared_history(asked_plant uuid, after_day date, after_id uuid, at_most integer)
  returns table (id uuid, tested_on date, edition text, soundness text, efficiency double precision,
                 efficiency_u double precision, specific_capacity_m2_s double precision, lift_m double precision)
  language sql stable security definer set search_path = ll, pg_temp as $$
  select test.id, test.tested_on, test.edition, test.soundness, test.efficiency,
         test.efficiency_u, test.specific_capacity_m2_s, test.lift_m
  from ll.field_test test
  where test.plant_id = asked_plant and (test.tested_on, test.id) > (after_day, after_id)
    and not exists (select from ll.field_test later where later.revision_of = test.id)
  order by test.tested_on, test.id
  limit at_most;
$$;
revoke execute on function ll.plant_known(text, text, date) from public;
revoke execute on function ll.shared_history(uuid, date, uuid, integer) from public;
grant execute on function ll.plant_known(text, text, date) to ll_firm;
grant execute on function ll.shared_history(uuid, date, uuid, integer) to ll_firm;

set role ll_owner;
revoke create on schema ll from ll_sharing;

-- Notes go with an entry in the ledger, so only the functions below write them, as the role that writes tests.
revoke insert, update on ll.test_note from ll_firm;
revoke update (salt, body, erased_at) on ll.test_note from ll_firm;
grant insert (id, firm_id, test_id, sha256, salt, body, key_id, created_at),
      select (id, firm_id, test_id, erased_at), update (salt, body, erased_at) on ll.test_note to ll_writer;
create policy writer on ll.test_note for all to ll_writer using (true) with check (true);
-- Not even that there is a note is a program's business.
alter policy program on ll.ledger_entry
  using (kind not in ('note', 'note-erased')
         and exists (select from ll.field_test given where given.id = ledger_entry.subject));

-- Appends one entry and answers its index. Always the last statement of a transaction: its lock is shared by all.
create function ll.append_entry(entry_kind text, firm uuid, about uuid, entry_bytes bytea, hash bytea)
  returns bigint language plpgsql as $$
declare
  place bigint;
begin
  update ll.ledger_head set next = next + 1 returning next - 1 into place;
  insert into ll.ledger_entry (index, leaf_hash, entry, kind, firm_id, subject)
    values (place, hash, entry_bytes, entry_kind, firm, about);
  return place;
end $$;

create function ll.write_note(note uuid, firm uuid, test uuid, hash bytea, note_salt bytea, note_body bytea, key text,
                              at timestamptz, entry_bytes bytea, leaf bytea) returns bigint language plpgsql as $$
begin
  insert into ll.test_note (id, firm_id, test_id, sha256, salt, body, key_id, created_at)
    values (note, firm, test, hash, note_salt, note_body, key, at);
  return ll.append_entry('note', firm, test, entry_bytes, leaf);
end $$;

-- Erases a note once; answers null, and appends nothing, where it was erased before or isn't there.
create function ll.erase_note(note uuid, firm uuid, test uuid, at timestamptz, entry_bytes bytea, leaf bytea)
  returns bigint language plpgsql as $$
begin
  update ll.test_note set salt = null, body = null, erased_at = at
    where id = note and firm_id = firm and test_id = test and erased_at is null;
  if not found then return null; end if;
  return ll.append_entry('note-erased', firm, test, entry_bytes, leaf);
end $$;
revoke execute on function ll.append_entry, ll.write_note, ll.erase_note from public;
grant execute on function ll.append_entry, ll.write_note, ll.erase_note to ll_writer;

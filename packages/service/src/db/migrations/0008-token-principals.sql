-- Keys that follow one another, people and programs that come with a token instead of a key, and word of what ended.

-- The key that took this one's place.
alter table ll.api_key add column replaced_by text unique references ll.api_key,
  add constraint api_key_succession_check check (replaced_by <> id);
grant select (replaced_by), update (replaced_by) on ll.api_key to ll_admin;
grant select (replaced_by) on ll.api_key to ll_auditor;

-- Whom the issuer of tokens vouches for, and what that one may do here. A token says who, never what.
create table ll.token_principal (
  -- Drawn like the id of a key, and kept in the same columns: one credential or the other recorded a row.
  id text primary key check (id ~ '^[0-9A-Za-z]{12}$'),
  issuer text not null check (length(issuer) between 1 and 300),
  subject text not null check (length(subject) between 1 and 255),
  role text not null check (role in ('firm', 'program', 'auditor', 'keeper', 'admin')),
  firm_id uuid references ll.firm,
  program_id uuid references ll.program,
  scopes text[] not null,
  name text not null check (length(name) between 1 and 200),
  created_at timestamptz not null default now(),
  -- Rows stay, since records name them.
  removed_at timestamptz,
  constraint token_principal_speaks_for_check
    check ((role = 'firm') = (firm_id is not null) and (role = 'program') = (program_id is not null))
);
-- One subject is one principal: where issuer = … and subject = … and removed_at is null.
create unique index token_principal_subject on ll.token_principal (issuer, subject) where removed_at is null;
select ll.wall_in('ll.token_principal');

grant select on ll.token_principal to ll_gate, ll_auditor, ll_admin;
grant insert, update (removed_at) on ll.token_principal to ll_admin;
create policy gate on ll.token_principal for select to ll_gate using (true);
create policy auditor on ll.token_principal for select to ll_auditor using (true);
create policy admin on ll.token_principal for all to ll_admin using (true) with check (true);

-- Every process remembers for seconds whom it let in. Word of a change reaches all of them when it commits,
-- also of a change made by hand.
create function ll.tell_of_credential() returns trigger language plpgsql as $$
begin
  perform pg_notify('ll_credential', old.id);
  return null;
end $$;
revoke execute on function ll.tell_of_credential from public;
create trigger tell_of_credential after update or delete on ll.api_key
  for each row execute function ll.tell_of_credential();
create trigger tell_of_credential after update or delete on ll.token_principal
  for each row execute function ll.tell_of_credential();

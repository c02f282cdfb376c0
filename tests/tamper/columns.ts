/** Columns of the tables that trials change, as the database tells them. */
import type pg from 'pg'

export interface Column {
  readonly name: string
  /** As a cast names it. */
  readonly type: string
  /** Without the domain around it. */
  readonly base: string
  readonly nullable: boolean
  /** Part of the primary key, so that two rows can't swap it. */
  readonly key: boolean
}

const COLUMNS = `select c.relname::text as table, a.attname::text as name, format_type(a.atttypid, null) as type,
    format_type(coalesce(nullif(t.typbasetype, 0), t.oid), null) as base, not a.attnotnull as nullable,
    coalesce(a.attnum = any (i.indkey), false) as key
  from pg_attribute a
  join pg_class c on c.oid = a.attrelid
  join pg_type t on t.oid = a.atttypid
  left join pg_index i on i.indrelid = c.oid and i.indisprimary
  where c.relnamespace = 'll'::regnamespace and c.relkind = 'r' and a.attnum > 0 and not a.attisdropped`

export type Columns = ReadonlyMap<string, ReadonlyMap<string, Column>>

export async function columnsOf(client: pg.ClientBase): Promise<Columns> {
  const { rows } = await client.query<Column & { table: string }>(COLUMNS)
  const tables = new Map<string, Map<string, Column>>()
  for (const { table, ...column } of rows) {
    const own = tables.get(table) ?? new Map<string, Column>()
    tables.set(table, own.set(column.name, column))
  }
  return tables
}

/** Takes away what guards a database against its superuser's mistakes: triggers, checks, foreign keys. Types and keys stay. */
export async function takeGuardsAway(client: pg.ClientBase): Promise<void> {
  await client.query(`do $$ declare one record; begin
    for one in select conrelid::regclass as tab, conname from pg_constraint
               where connamespace = 'll'::regnamespace and conrelid <> 0 and contype = 'f' loop
      execute format('alter table %s drop constraint %I', one.tab, one.conname);
    end loop;
    for one in select conrelid::regclass as tab, conname from pg_constraint
               where connamespace = 'll'::regnamespace and conrelid <> 0 and contype = 'c' loop
      execute format('alter table %s drop constraint %I', one.tab, one.conname);
    end loop;
    for one in select oid::regclass as tab from pg_class where relnamespace = 'll'::regnamespace and relkind = 'r' loop
      execute format('alter table %s disable trigger all', one.tab);
    end loop;
  end $$`)
}

/** What is asked of notes: as a firm its own, as an auditor all, until they are erased. */
import type { Selectable, Transaction } from 'kysely'
import type { Database, TestNote } from '../db/schema.ts'
import type { Part } from '../http/cursor.ts'

type Tx = Transaction<Database>
export type NoteRow = Pick<
  Selectable<TestNote>,
  'id' | 'test_id' | 'created_at' | 'sha256' | 'salt' | 'body' | 'erased_at'
>

const notes = (tx: Tx, testId: string) =>
  tx
    .selectFrom('test_note')
    .select(['id', 'test_id', 'created_at', 'sha256', 'salt', 'body', 'erased_at'])
    .where('test_id', '=', testId)

/** Whether there is such a test for the caller. */
export async function isTestVisible(tx: Tx, testId: string): Promise<boolean> {
  const row = await tx.selectFrom('field_test').select('id').where('id', '=', testId).executeTakeFirst()
  return row !== undefined
}

export async function findNote(tx: Tx, testId: string, id: string): Promise<NoteRow | undefined> {
  return notes(tx, testId).where('id', '=', id).executeTakeFirst()
}

export async function listNotes(tx: Tx, testId: string, { after, limit }: Part): Promise<NoteRow[]> {
  return notes(tx, testId)
    .$if(after !== undefined, (query) => query.where('id', '>', after!))
    .orderBy('id')
    .limit(limit)
    .execute()
}

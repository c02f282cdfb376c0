/** `/v1/tests/{id}/notes`: names, telephone numbers and free text, apart from the sheet and erasable. */
import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Type } from 'typebox'
import { Cursors, PageQuery } from '../http/cursor.ts'
import { Id, toWire, uuidOf } from '../http/ids.ts'
import { notFound } from '../http/problem.ts'
import { type LedgerDeps, receiptFor } from '../ledger/append.ts'
import { findNote, isTestVisible, listNotes, type NoteRow } from './queries.ts'
import { Note, NoteContent, NotePage } from './schemas.ts'
import { eraseNote, writeNote } from './write.ts'

const toNote = (row: NoteRow): Note => ({
  id: toWire('note', row.id),
  testId: toWire('test', row.test_id),
  createdAt: row.created_at.toISOString(),
  sha256: row.sha256.toString('hex'),
  ...(row.salt !== null && { salt: row.salt.toString('hex') }),
  ...(row.body !== null && { content: JSON.parse(row.body.toString('utf8')) as NoteContent }),
  ...(row.erased_at !== null && { erasedAt: row.erased_at.toISOString() }),
})

const testId = Id('test', 'Id of the test.')
const Params = Type.Object({ testId })

export const noteRoutes: FastifyPluginAsyncTypebox<LedgerDeps> = async (app, deps) => {
  const { databases, config, now, newId, newSalt } = deps
  const cursors = new Cursors(config.keyPepper, now)

  app.post(
    '/v1/tests/:testId/notes',
    {
      config: { access: { roles: ['firm'], scope: 'notes:write' }, receipted: true },
      schema: {
        operationId: 'notes.create',
        tags: ['Notes'],
        summary: 'Write a note beside a test',
        description:
          'The one place for names, telephone numbers and free text: no sheet, context, result or log line holds them. ' +
          'The ledger keeps a salted hash, which says that the note was there and unchanged, and nothing once it is ' +
          'erased. Programs never see notes.',
        params: Params,
        body: NoteContent,
        response: { 201: Note },
      },
    },
    async ({ params, body, principal }, reply) => {
      const noted = { id: newId(), firmId: principal.firmId!, testId: uuidOf('test', params.testId), at: now() }
      const visible = await databases.asPrincipal(principal, (tx) => isTestVisible(tx, noted.testId))
      if (!visible) throw notFound('test', params.testId)
      const content = { content: body, salt: newSalt(), keyId: principal.keyId }
      const { row, stored } = await writeNote(databases.writer, noted, content)
      return receiptFor(reply, deps, stored)
        .code(201)
        .header('location', `/v1/tests/${params.testId}/notes`)
        .send(toNote(row))
    },
  )

  app.get(
    '/v1/tests/:testId/notes',
    {
      config: { access: { roles: ['firm', 'auditor'], scope: 'notes:read' }, readLog: { of: 'test' } },
      schema: {
        operationId: 'notes.list',
        tags: ['Notes'],
        summary: 'List the notes of a test',
        description:
          'In the order in which they were written. Of an erased note there is the hash and when it was erased. An ' +
          'auditor reads notes as long as the firm keeps them.',
        params: Params,
        querystring: Type.Object(PageQuery, { additionalProperties: false }),
        response: { 200: NotePage },
      },
    },
    async (request, reply) => {
      const { params, principal } = request
      const id = uuidOf('test', params.testId)
      return cursors.page(
        { request, reply, list: { order: 'notes by id', filter: { test: id } } },
        (part) =>
          databases.asPrincipal(principal, async (tx) => {
            if (!(await isTestVisible(tx, id))) throw notFound('test', params.testId)
            return listNotes(tx, id, part)
          }),
        toNote,
      )
    },
  )

  app.delete(
    '/v1/tests/:testId/notes/:noteId',
    {
      config: { access: { roles: ['firm'], scope: 'notes:write' }, receipted: true },
      schema: {
        operationId: 'notes.erase',
        tags: ['Notes'],
        summary: 'Erase a note',
        description:
          'Its text and salt are gone for good; what is left is a hash that says nothing without them. The test, its ' +
          'trace and its entry in the ledger stay as they are. The ledger keeps that and when it was erased. Erasing ' +
          'again changes nothing.',
        params: Type.Object({ testId, noteId: Id('note', 'Id of the note.') }),
        response: { 200: Note },
      },
    },
    async ({ params, principal }, reply) => {
      const test = uuidOf('test', params.testId)
      const id = uuidOf('note', params.noteId)
      const find = () =>
        databases.asPrincipal(principal, async (tx) => {
          if (!(await isTestVisible(tx, test))) throw notFound('test', params.testId)
          return findNote(tx, test, id)
        })
      const before = await find()
      if (before === undefined) throw notFound('note', params.noteId)
      if (before.erased_at !== null) return toNote(before)
      const noted = { id, firmId: principal.firmId!, testId: test, at: now() }
      receiptFor(reply, deps, await eraseNote(databases.writer, noted, newSalt()))
      return toNote((await find())!)
    },
  )
}

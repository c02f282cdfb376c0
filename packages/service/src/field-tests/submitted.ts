/** What submitting and revising have in common on the wire. */
import type { Sheet } from '@liftledger/calc'
import type { FastifyReply, FastifyRequest } from 'fastify'
import { Type } from 'typebox'
import { sendJson } from '../http/caching.ts'
import { fingerprint, idempotencyKey } from '../http/idempotency.ts'
import { refuseImpossibleShape } from '../http/impossible-shape.ts'
import { sendReceipt } from '../ledger/append.ts'
import type { SubmissionRequest, Submitted } from './submit.ts'

/** Header fields of a request that stores a sheet; `what` it stores. */
export const SheetFields = (what: string) =>
  Type.Object({
    'idempotency-key': Type.Optional(
      Type.String({
        maxLength: 140,
        description: `One key for this ${what}, in quotes, kept with the sheet and sent on every repeat.`,
      }),
    ),
  })

/** A firm's request with a sheet. Throws `invalid-request` for a shape that can't be, or a key that is none. */
export function sheetRequest(
  { principal, rawBody, headers, body }: Pick<FastifyRequest, 'principal' | 'rawBody' | 'headers'> & { body: Sheet },
  use: { readonly route: string; readonly pathValues: readonly string[] },
): SubmissionRequest {
  refuseImpossibleShape(body)
  return {
    principal: { ...principal, firmId: principal.firmId! },
    sheet: body,
    rawSheet: rawBody,
    key: idempotencyKey(headers['idempotency-key']),
    fingerprint: fingerprint({ method: 'POST', ...use, rawBody }),
  }
}

export function sendSubmitted(reply: FastifyReply, { testId, text, receipt, replayed }: Submitted): FastifyReply {
  if (replayed) reply.header('idempotent-replayed', 'true')
  return sendJson(sendReceipt(reply, receipt).code(201).header('location', `/v1/tests/${testId}`), text)
}

/**
 * Changes of records, each under the `ETag` of the record as it was read (RFC 9110, 13.1.1).
 *
 * The tag is made of what the caller is shown: who was shown something else can't change it unseen.
 */
import type { FastifyReply } from 'fastify'
import { Type } from 'typebox'
import { entityTag, namedTag } from './caching.ts'
import { Problem } from './problem.ts'

/** Header fields of an operation that changes a record. */
export const IfMatch = Type.Object({
  'if-match': Type.Optional(
    Type.String({
      maxLength: 1000,
      description: 'ETag of the record as it was read; without it nothing is changed and 428 answered.',
    }),
  ),
})

/** Problems of an operation that changes a record. */
export const CHANGE_PROBLEMS = ['precondition-required', 'precondition-failed'] as const

/** Tag of a record in the form in which the operation answers it; reading it gives the same. */
export const tagOf = (reply: FastifyReply, shown: object): string => entityTag(reply.serialize(shown) as string)

/** Sends the record's tag with it, so that who made or changed it can change it again. */
export function tagged<T extends object>(reply: FastifyReply, shown: T): T {
  reply.header('etag', tagOf(reply, shown))
  return shown
}

/**
 * Compares `If-Match` with the tag of the record as it stands, by strong comparison.
 *
 * Throws `precondition-required` without the field, `precondition-failed` where the record is another by now.
 */
export function insistOnMatch(field: string | undefined, current: string): void {
  if (field === undefined || field.trim() === '') {
    throw new Problem(
      'precondition-required',
      'Nothing was changed: read the record and send its ETag as If-Match with the change.',
    )
  }
  const strong = field.replaceAll(/W\/"[^"]*"/g, '')
  if (namedTag(strong, current) === undefined) throw overtaken()
}

/** Another change came first. */
export const overtaken = (): Problem =>
  new Problem(
    'precondition-failed',
    'Nothing was changed: the record is no longer what it was when its ETag was read. Read it again.',
  )

/** A member after a merge patch (RFC 7396, 2): what isn't sent stays, null removes. */
export function merged<T>(current: T, sent: T | undefined): T {
  return sent === undefined ? current : sent
}

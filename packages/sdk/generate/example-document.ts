/** A small API description with one operation of each form, for the tests of the generator. */

const json = (schema: object) => ({ 'application/json': { schema } })
const ref = (name: string) => ({ $ref: `#/components/schemas/${name}` })
const answer = (description: string, schema: object) => ({ description, content: json(schema) })
const problem = { description: 'Refused.', content: { 'application/problem+json': { schema: ref('Problem') } } }
const idOf = (noun: string) => ({
  name: `${noun}Id`,
  in: 'path',
  required: true,
  schema: { type: 'string' },
  description: `Id of the ${noun}.`,
})
const list = (item: object) => ({
  type: 'object',
  required: ['items'],
  properties: { items: { type: 'array', items: item }, next: { type: 'string' } },
  additionalProperties: false,
})

const schemas = {
  Problem: {
    type: 'object',
    required: ['type', 'title', 'status', 'code', 'detail', 'requestId'],
    properties: {
      type: { type: 'string' },
      title: { type: 'string' },
      status: { type: 'integer' },
      code: { type: 'string', enum: ['invalid-request', 'idempotency-in-progress', 'internal'] },
      detail: { type: 'string' },
      requestId: { type: 'string' },
      retryAfterS: { type: 'number' },
      errors: { type: 'array', items: ref('ProblemItem') },
    },
  },
  ProblemItem: {
    type: 'object',
    required: ['code', 'message'],
    properties: {
      pointer: { type: 'string' },
      parameter: { type: 'string' },
      code: { type: 'string' },
      message: { type: 'string' },
      allowed: { type: 'array', items: { type: 'string' } },
    },
  },
  Sheet: { type: 'object', required: ['flow'], properties: { flow: ref('FlowReadings') }, additionalProperties: false },
  FlowReadings: {
    type: 'object',
    required: ['method'],
    discriminator: { propertyName: 'method' },
    oneOf: [ref('PitotTraverse'), ref('WeirCrest')],
  },
  PitotTraverse: {
    type: 'object',
    required: ['method', 'points'],
    properties: {
      method: { type: 'string', const: 'pitot-traverse' },
      points: { type: 'array', items: { type: 'number' } },
    },
  },
  WeirCrest: {
    type: 'object',
    required: ['method', 'crest'],
    // A member that happens to be called discriminator is a member.
    properties: { method: { const: 'weir' }, crest: { type: 'number' }, discriminator: { type: 'string' } },
  },
  Test: { type: 'object', required: ['id'], properties: { id: { type: 'string' } } },
  TestPage: list(ref('Test')),
  DuePage: {
    ...list(ref('Test')),
    properties: { ...list(ref('Test')).properties, count: { type: 'integer' } },
  },
  Oddities: {
    type: ['object', 'null'],
    if: { required: ['a'] },
    // biome-ignore lint/suspicious/noThenProperty: a keyword of JSON Schema
    then: { required: ['b'] },
    unevaluatedProperties: false,
    patternProperties: { '^x-': { type: 'string' } },
    properties: { pair: { prefixItems: [{ type: 'number' }, {}], items: false }, never: false, anything: true },
    'x-own': { deeper: [1, { $comment: '*/' }] },
  },
  'kebab-name': { type: 'string' },
}

export const exampleDocument = {
  openapi: '3.1.0',
  info: { title: 'Example', version: '1.0.0' },
  paths: {
    '/v1/tests': {
      post: {
        operationId: 'tests.submit',
        summary: 'Submit a test',
        description: 'Stores and evaluates a sheet.\n\nComments may end: */',
        parameters: [
          { name: 'idempotency-key', in: 'header', required: false, schema: { type: 'string' } },
          { name: 'distinct', in: 'query', schema: { type: 'boolean' } },
        ],
        requestBody: { required: true, content: json(ref('Sheet')) },
        responses: { 201: answer('Stored.', ref('Test')), 400: problem },
      },
      get: {
        operationId: 'tests.list',
        summary: 'List tests',
        parameters: [
          { name: 'cursor', in: 'query', schema: { type: 'string' } },
          { name: 'limit', in: 'query', schema: { type: 'integer', minimum: 1, maximum: 200 } },
        ],
        responses: { 200: answer('A page.', ref('TestPage')), 400: problem },
      },
    },
    '/v1/tests-due': {
      get: {
        operationId: 'tests.due',
        summary: 'List what is due',
        parameters: [{ name: 'cursor', in: 'query', schema: { type: 'string' } }],
        responses: { 200: answer('A page.', ref('DuePage')), 400: problem },
      },
    },
    '/v1/tests/{testId}': {
      parameters: [idOf('test')],
      get: {
        operationId: 'tests.get',
        summary: 'Read a test.',
        responses: { 200: answer('The test.', ref('Test')), default: problem },
      },
    },
    '/v1/tests/{testId}/trace/{quantity}': {
      get: {
        operationId: 'tests.trace',
        parameters: [
          idOf('test'),
          { name: 'quantity', in: 'path', required: true, schema: { type: 'string', enum: ['flow', 'lift'] } },
          { name: 'run', in: 'query', required: true, schema: { type: 'integer' } },
        ],
        responses: { 200: answer('The trace.', { type: 'object', properties: { node: { type: 'integer' } } }) },
      },
    },
    '/v1/tests/{testId}/table': {
      get: {
        operationId: 'tests.table',
        deprecated: true,
        parameters: [idOf('test')],
        responses: { 200: { description: 'A table.', content: { 'text/csv': { schema: { type: 'string' } } } } },
      },
    },
    '/v1/evaluations': {
      post: {
        operationId: 'evaluations.create',
        requestBody: { required: true, content: json({ type: 'object', properties: { sheet: ref('Sheet') } }) },
        responses: { 200: answer('Evaluated.', ref('Oddities')) },
      },
    },
    '/v1/plants': {
      post: {
        operationId: 'plants.create',
        requestBody: { $ref: '#/components/requestBodies/Plant' },
        responses: { 201: { $ref: '#/components/responses/Plant' } },
      },
      get: {
        operationId: 'plants.list',
        parameters: [{ name: 'cursor', in: 'query', schema: { type: 'string' } }],
        responses: { 200: answer('A page.', list({ type: 'object', properties: { code: { type: 'string' } } })) },
      },
    },
    '/v1/plants/{plantId}': {
      patch: {
        operationId: 'plants.change',
        parameters: [idOf('plant'), { name: 'If-Match', in: 'header', required: true, schema: { type: 'string' } }],
        requestBody: {
          required: true,
          content: {
            'application/merge-patch+json': { schema: { type: 'object', properties: { code: { type: 'string' } } } },
          },
        },
        responses: { 200: { $ref: '#/components/responses/Plant' }, 412: problem },
      },
    },
    '/v1/keys/{keyId}': {
      delete: {
        operationId: 'keys.revoke',
        parameters: [idOf('key')],
        responses: { 204: { description: 'Revoked.' } },
      },
    },
    '/health/live': {
      get: {
        operationId: 'health.live',
        security: [],
        responses: { 200: answer('Alive.', { type: 'object', properties: {} }) },
      },
    },
  },
  components: {
    schemas,
    requestBodies: {
      Plant: { required: true, content: json({ type: 'object', properties: { code: { type: 'string' } } }) },
    },
    responses: { Plant: answer('Created.', { type: 'object', properties: { code: { type: 'string' } } }) },
  },
}

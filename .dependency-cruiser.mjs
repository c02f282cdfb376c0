// Who may import whom. The list of doors is the map of the service: a new door is a decision note.
const shared = '^packages/service/src/(http|db|render)/'
const slice = '^packages/service/src/(?!http/|db/|render/)([^/]+)/'
const doors = [
  'ledger/append',
  'statistics/enough',
  'statistics/rollup',
  'webhooks/enqueue',
  'programs/interval',
  'programs/people',
  'programs/standing',
  'quality-visits/people',
  'field-tests/load',
  'record-findings/hashed',
  'record-findings/told',
  'record-findings/windows',
  'registry/context',
]
const forbid = (name, comment, from, to) => ({ name, comment, severity: 'error', from, to })

export default {
  forbidden: [
    forbid('no-cycles', 'Order the two files or merge them.', {}, { circular: true }),
    forbid(
      'calc-is-pure',
      'No I/O, clock or library beside typebox.',
      { path: '^packages/calc/src/', pathNot: '\\.test\\.ts$|/testing\\.ts$' },
      { pathNot: '^packages/calc/src/|(^|/)typebox(/|$)' },
    ),
    forbid(
      'rules-are-pure',
      'A rule set judges from data alone: no store, no clock, no library beside calc, typebox and decimals.',
      { path: '^packages/service/src/programs/rules/', pathNot: '\\.test\\.ts$' },
      { pathNot: '^packages/service/src/programs/rules/|^packages/calc/|(^|/)(typebox|big\\.js)(/|$)' },
    ),
    forbid(
      'ledger-is-pure',
      'Only the hash and signature files touch the platform.',
      { path: '^packages/ledger/src/', pathNot: '\\.test\\.ts$|/(sha256|ed25519)\\.|/signing\\.ts$|/testing/' },
      { pathNot: '^packages/ledger/src/' },
    ),
    forbid(
      'sdk-stands-alone',
      'A client never needs the server.',
      { path: '^packages/sdk/src/', pathNot: '\\.test\\.ts$' },
      { path: '^packages/(service|simulator)/|^seed/|^tests/' },
    ),
    forbid(
      'sdk-core-is-light',
      'Calculation and proofs are entries of their own.',
      { path: '^packages/sdk/src/index\\.ts$' },
      { path: '^packages/(calc|ledger)/', reachable: true },
    ),
    forbid(
      'service-never-simulates',
      'Invented data stays outside the product.',
      { path: '^packages/(service|sdk)/src/', pathNot: '\\.test\\.ts$' },
      { path: '^packages/simulator/|^seed/|^tests/' },
    ),
    forbid(
      'simulator-has-its-own-truth',
      'Truth computed by the code under test proves nothing.',
      { path: '^packages/simulator/src/', pathNot: '\\.test\\.ts$' },
      { path: '^packages/calc/', dependencyTypesNot: ['type-only'] },
    ),
    forbid(
      'slices-meet-at-doors',
      'A new door is a decision note.',
      { path: slice, pathNot: '\\.test\\.ts$' },
      {
        path: slice,
        pathNot: ['^packages/service/src/$1/', ...doors.map((door) => `^packages/service/src/${door}\\.ts$`)],
      },
    ),
    forbid('shared-knows-no-slice', 'http, db and render serve the slices.', { path: shared }, { path: slice }),
    forbid(
      'tests-are-not-imported',
      'Test help lives in testing.ts or tests/setup.',
      { pathNot: '\\.test\\.ts$' },
      { path: '\\.test\\.ts$' },
    ),
  ],
  options: {
    parser: 'swc',
    tsPreCompilationDeps: true,
    doNotFollow: { path: 'node_modules' },
    enhancedResolveOptions: {
      exportsFields: ['exports'],
      conditionNames: ['node', 'import'],
      extensions: ['.ts', '.js'],
    },
  },
}

" SPDX-License-Identifier: GPL-3.0-or-later
" Vim syntax of pitleaf's setup language (*.leaf). It cuts text into tokens as the program's own
" lexer does: behind a number stands a unit, unless it is one of the language's own words.
if exists("b:current_syntax")
  finish
endif
let s:cpo = &cpo
set cpo&vim

" ---- lists

" Made from the program's tables by tests/unit/editor_words_test.c, which fails when one is stale.
let s:statements = 'from include let when'
let s:joints = 'and at coils gap in not one-way opens-at or to x'
let s:kinds = 'aim assembly ballast beside box car cautions changes checklist damper drawing'
      \ . ' entry extra group labels measured meeting notes oil oil-scale page-break piston'
      \ . ' plan plot rest rule rules runs section setup shocks spring template words'
let s:scopes = 'all car front front-left front-right left rear rear-left rear-right right'
let s:keys = 'active-coils air air-volume anti-squat applies-to arm-inner arm-outer'
      \ . ' arm-sweep at axle-type backup-rings bar bar-length bar-lever bar-ratio bar-wire'
      \ . ' battery because blends body bore brake build-temperature bump-spacer'
      \ . ' bushing-overlap camber car caster centre-diff centre-diff-oil cg-height charge'
      \ . ' class club collar column columns compensation corner-mass corners curve damper'
      \ . ' date density diameter direction drive driver droop edition ends entry event'
      \ . ' expansion exposed-shaft extended-length extrusion-gap fast-speed fields footer'
      \ . ' for free-length front-diff front-diff-oil front-share gland-outside gland-width'
      \ . ' glide-ring gravity grip ground group groups heading headings height'
      \ . ' hot-temperature hub insert inside-diameter internal-ratio items keep kick-up'
      \ . ' language large layout left-share length limiter lines link-inner link-outer logo'
      \ . ' margin margin-bottom margin-left margin-right margin-top mass material'
      \ . ' mean-diameter measure middle motor notes of oil oil-scale oil-temperature'
      \ . ' oil-volume oils opposed-spring outside-diameter paper perch-gap pinion piston'
      \ . ' piston-thickness pistons ports preload preload-step rate rear-diff rear-diff-oil'
      \ . ' rebound require ride-height ring-inside ring-number ring-section ring-type rings'
      \ . ' roll-centre roll-centre-shim rules scale seal seal-friction servo setup shaft'
      \ . ' shaft-length shaft-yield shear-modulus shock-bottom shock-top show slipper'
      \ . ' slow-speed sort speed-control spring springs spur steering-shim stroke surface'
      \ . ' table template thickness throttle timing toe tolerance tolerances total-coils'
      \ . ' track track-name track-spacer transponder tyre tyre-radius tyre-rate'
      \ . ' tyre-treatment units unsprung-mass viscosity wheel wheel-centre wheelbase'
      \ . ' wheelbase-shim width wing wing-angle wiper wire without'
let s:figures = 'bar-roll-rate bladder-margin buckling-load bump-travel bushing-overlap'
      \ . ' bushing-ratio camber-gain cavitation-speed collar-position corner-mass'
      \ . ' cross-weight damping-fast-compression damping-fast-rebound'
      \ . ' damping-ratio-compression damping-ratio-fast damping-ratio-rebound'
      \ . ' damping-ratio-slow damping-slow-compression damping-slow-rebound droop-travel'
      \ . ' equivalent-oil extrusion-gap final-drive first-to-stop frequency-ratio'
      \ . ' front-mass-share front-roll-share front-transfer-share gas-force'
      \ . ' gas-force-compressed gas-force-extended gas-rate gland-fill hop-frequency'
      \ . ' motion-ratio motion-ratio-bump motion-ratio-droop motion-ratio-slope oil-density'
      \ . ' oil-expansion oil-fill oil-viscosity pack-speed preload-force preload-needed'
      \ . ' ride-frequency ride-rate roll-centre-height roll-gradient roll-rate rollout'
      \ . ' seal-squeeze seal-stretch settled-ride-height shaft-displacement shaft-force'
      \ . ' shock-angle shock-compression shock-length shock-temperature shock-travel-in'
      \ . ' shock-travel-out spring-deflection spring-force spring-rate spring-stress'
      \ . ' spring-stress-share sprung-mass total-mass travel-to-bind wheel-rate'
let s:constants = 'axle beam bladder class closed closed-ground corner each emulsion entry'
      \ . ' group halves imperial independent metric music-wire no none o-ring plain'
      \ . ' plain-ground quarters stainless-302 vented x-ring yes'
let s:functions = 'abs blend cos count max min round sin sqrt sum tan'
let s:behind = 'and at coils from gap not one-way opens-at or to when x'
let s:scales = 'degC degF °C °F'
let s:units = '% GPa Hz J K MPa N P Pa St W bar cP cSt cc cm deg ft g gf h in kN kPa kg kgf'
      \ . ' km l lb lbf m mN mPa mbar mg min ml mm mph ms oz ozf psi rad rpm s turn um wt °'
      \ . ' µm μm'

function s:any(list)
  return '\%(' . substitute(a:list, ' ', '\\|', 'g') . '\)'
endfunction

syn case match

" ---- what means nothing, as far as nothing below matches

syn match pitleafBad /[^ \t\r]\|\r$\@!/

" ---- words

" A word goes on as long as it can; its end is where no letter and no hyphen before one follows.
let s:end = '\%([A-Za-z0-9_-]*[A-Za-z0-9_]\)\@!'
let s:set = '\%([ \t]*[-+*]\=\%(==\)\@!=\)'

syn match pitleafBadWord /[A-Za-z_]\%([A-Za-z0-9_-]*[A-Za-z0-9_]\)\=/
execute 'syn match pitleafName /[a-z][a-z0-9]*\%(-[a-z0-9]\+\)*' . s:end . '/'
execute 'syn match pitleafConstant /' . s:any(s:constants) . s:end . '/'
execute 'syn match pitleafFigure /' . s:any(s:figures) . s:end . '/'
execute 'syn match pitleafKey /' . s:any(s:keys) . s:end . '/'
execute 'syn match pitleafScope /' . s:any(s:scopes) . s:end . '/'
execute 'syn match pitleafKind /' . s:any(s:kinds) . s:end . '\ze[ \t]*["{]/'
execute 'syn match pitleafFunction /' . s:any(s:functions) . s:end . '\ze[ \t]*(/'
execute 'syn match pitleafJoint /\%(' . s:any(s:joints) . s:end . s:set . '\@!\|×\)/'
syn match pitleafJoint /\%(\d[ \t]*\)\@<=x\d\@=/
execute 'syn match pitleafStatement /' . s:any(s:statements) . s:end . '/'

" ---- marks

syn match pitleafOperator /[-+*\/^=<>]\|[-+*=!<>]=\|\.\.\|+-\|[±−≤≥≠]/
syn match pitleafBracket /[][{}()]/
syn match pitleafSeparator /[,;]\|\.\.\@!/

" ---- numbers, units, days

let s:letter = '[A-Za-z%µμ°]'
let s:power = '\%(\^-\=\d\+\|[²³]\)'
" A unit of the table with a power that there is, and a product or a quotient of such; a point on
" a temperature scale stands alone.
let s:over = '\%([A-Za-z0-9%µμ°²³]\|\^-\=\d\)\@!'
let s:known = s:any(s:units) . '\%(\^-\=[1-9]\d\@!\|[²³]\|' . s:over . '\)'
let s:part = s:letter . '\%(' . s:letter . '\|\d\)*' . s:power . '\='
let s:more = '\%([A-Za-z0-9%µμ°²³]\|\^-\=\d\|[.\/]' . s:letter . '\)'
" The language's own words, none of which is longer as a unit; in `6x1.3 mm` the sign of ports.
let s:word = '\%(' . s:any(s:behind) . s:more . '\@!\|x\d\)'
" `3 in [2, 3]` asks whether 3 is one of them.
let s:list = '\%(in[ \t]*\[\)'

execute 'syn match pitleafBadUnit contained /' . s:word . '\@!' . s:list
      \ . '\@!\%(1\/\|\/\%(' . s:any(s:scales) . s:over . '\)\@=\)\='
      \ . s:part . '\%([.\/]' . s:part . '\)*/'
execute 'syn match pitleafUnit contained /' . s:list . '\@!\%(\%(1\=\/\)\=' . s:known
      \ . '\%([.\/]' . s:known . '\)*\)\@>\%([.\/]' . s:any(s:scales) . s:over . '\)\@!/'
execute 'syn match pitleafUnit contained /' . s:any(s:scales) . s:more . '\@!/'
syn match pitleafNumber /\d\+\%(\.\d\+\)\=\%([eE][+-]\=\d\+\)\=/
      \ nextgroup=pitleafUnit,pitleafBadUnit skipwhite
" A comma in a number, which a unit behind it shows to be meant as one.
syn match pitleafBadNumber /\%(\d,\)\@<!\d\+,\d\+\ze[ \t]*[A-Za-z%µμ°]/
      \ nextgroup=pitleafUnit,pitleafBadUnit skipwhite
syn match pitleafDate /\d\{4}-\d\{2}-\d\{2}/
syn match pitleafBadDate /\d\{1,2}\%(\.\d\{1,2}\.\|\/\d\{1,2}\/\)\d\{4}/

" ---- texts

syn match pitleafBadEscape contained /\\./
syn match pitleafEscape contained /\\["\\nt]\|\\u{\x\{1,6}}/
" Quotes of another kind, and a text that does not end on its line.
syn match pitleafBadText /[“”„][^“”]*[“”]\|[‘’‚][^‘’]*[‘’]\|'[^'"#{}]*'/
syn match pitleafBadText /"\%([^"\\]\|\\.\)*/
syn match pitleafText /"\%([^"\\]\|\\.\)*"/ contains=pitleafBadEscape,pitleafEscape,@Spell

" ---- comments

syn match pitleafBadComment +//.*+
syn match pitleafComment /#.*/ contains=@Spell

syn sync minlines=1

" ---- colours

hi def link pitleafBad Error
hi def link pitleafBadWord Error
hi def link pitleafBadUnit Error
hi def link pitleafBadNumber Error
hi def link pitleafBadDate Error
hi def link pitleafBadEscape Error
hi def link pitleafBadText Error
hi def link pitleafBadComment Error
hi def link pitleafComment Comment
hi def link pitleafText String
hi def link pitleafEscape SpecialChar
hi def link pitleafNumber Number
hi def link pitleafUnit Type
hi def link pitleafDate Number
hi def link pitleafStatement Statement
hi def link pitleafJoint Operator
hi def link pitleafKind Structure
hi def link pitleafScope StorageClass
hi def link pitleafKey Identifier
hi def link pitleafFigure Identifier
hi def link pitleafConstant Constant
hi def link pitleafFunction Function
hi def link pitleafOperator Operator
hi def link pitleafBracket Delimiter
hi def link pitleafSeparator Delimiter

delfunction s:any
let b:current_syntax = "pitleaf"
let &cpo = s:cpo
unlet s:cpo

"""The looks that the theme cannot say: targets for inky gloves, one column on a phone."""

BAR = "phone-bar"

STYLE = """
<style>
/* Big targets for inky gloves, one column on a phone, no sideways scroll. */
.block-container {padding-top: 4.2rem; padding-bottom: 4rem; max-width: 72rem;}
div.stButton > button, div.stFormSubmitButton > button, div.stDownloadButton > button,
[data-testid="stPopoverButton"]
  {min-height: 2.9rem;}
[data-testid="stButtonGroup"] button {min-height: 44px;}
/* White is too pale on the light blue of the dark theme. */
.stApp [data-testid^="stBaseButton-primary"] {color: light-dark(#fff, #0b1b26);}
.stApp [data-testid^="stBaseButton-"]:disabled, .stApp [data-testid^="stBaseButton-"][disabled]
  {color: light-dark(#5a6370, #a9b3bf); background: light-dark(#e8ebef, #2a323c);
   border: 1px dashed light-dark(#8a94a1, #7a8490);}
.stMain [data-testid="stHeading"] h1 {font-size: 1.9rem; padding: 0.2rem 0;}
.stMain [data-testid="stHeading"] h2 {font-size: 1.4rem; padding: 0.6rem 0 0.2rem;}
.stMain [data-testid="stHeading"] h3 {font-size: 1.15rem;}
.stMain h4 {line-height: 1.4;}
.stMain :focus-visible {outline: 3px solid var(--st-primary-color, #0b5c8c); outline-offset: 2px;}
/* The page itself takes the focus too, for the arrow keys to scroll it. */
.stMain:focus-visible {outline: 3px solid var(--st-primary-color, #0b5c8c); outline-offset: -3px;}
/* Small print that Streamlit shows through at 60 % is too pale on the ground of the light theme. */
.stApp [data-testid="stCaptionContainer"], .stApp [data-testid="stCaptionContainer"] p
  {color: light-dark(#566067, #a9b3bf); opacity: 1;}
/* The edge of what is ticked or filled in stands out by three to one (WCAG 2.2, 1.4.11). */
.stMain [data-testid="stCheckbox"]:not([data-selected]) label > div:first-of-type,
.stMain [data-testid="stRadioOption"]:not([data-selected]) > div > div:first-of-type,
.stMain [data-testid="stTextInputRootElement"]:not(:focus-within),
.stMain [data-testid="stTextAreaRootElement"]:not(:focus-within),
.stMain [data-testid="stNumberInputContainer"]:not(:focus-within),
.stMain .stSelectbox [role="group"]:not(:focus-within),
.stMain .stDateInput [role="group"]:not(:focus-within),
.stMain .stTimeInput [role="group"]:not(:focus-within)
  {border-color: light-dark(#7d878e, #74818a);}
.st-key-demo-notice {padding: 0.3rem 0.8rem;}
.st-key-phone-bar {display: none;}
/* A table's own download writes formulas that a spreadsheet program runs; ours stands below. */
[data-testid="stElementToolbar"] button[aria-label^="Download as CSV"] {display: none;}
/* Not before the run has ended: see forms.saving.offer_another. */
[data-test-script-state="running"] .st-key-log-another button {pointer-events: none;}
/* What a device keeps has nothing to show, so it takes no room. */
.st-key-device-begins, .st-key-device-ends {position: absolute; height: 0; overflow: hidden;}
/* The part that a link names. */
.st-key-asked-part {border-left: 6px solid var(--st-primary-color, #0b5c8c); padding-left: 0.8rem;
  background: color-mix(in srgb, var(--st-primary-color, #0b5c8c) 9%, transparent);}
/* One printer a tile, one channel a field: a thumb in a glove hits the right one. */
.stMain [class*="st-key-tile-"] button {min-height: 92px; width: 100%;}
[class*="st-key-tile-"] {flex: 1 1 10rem; min-width: 0;}
/* The questions of a page wrap beside what stands in one row with them; on a phone all of them. */
.st-key-maintenance-views [data-testid="stButtonGroup"] > div {flex-wrap: wrap; overflow: visible;}
.st-key-big-steppers [data-testid="stNumberInputContainer"] {min-height: 52px;}
.st-key-big-steppers [data-testid^="stNumberInputStep"] {min-width: 48px; min-height: 52px;}
.st-key-big-steppers input {font-size: 1.25rem;}
/* What was logged is told at the foot, for at the top it would lie on what it repeats and the
   Undo; on a phone above the bar. */
div[data-testid="stToastContainer"] {top: auto !important; bottom: 1rem !important;}
@media (max-width: 640px) {
  div[data-testid="stToastContainer"] {bottom: 5rem !important;}
  .stMain [data-testid="stHeading"] h1 {font-size: 1.5rem;}
  .stMain [data-testid="stHeading"] h2 {font-size: 1.25rem;}
  .stMain h4 {font-size: 1.1rem;}
  [data-testid="stRadio"] [role="radiogroup"] label {min-height: 44px; padding-block: 0.35rem;}
  .st-key-maintenance-views {gap: 0.4rem;}
  .st-key-maintenance-views [data-testid="stElementContainer"],
  .st-key-maintenance-views [data-testid="stButtonGroup"],
  .st-key-maintenance-views [data-testid="stButtonGroup"] > div {display: contents;}
  .st-key-maintenance-views [data-testid="stButtonGroup"] button
    {border-radius: 0.5rem; padding: 0 0.7rem; margin: 0;}
  .st-key-maintenance-views button[data-testid="stBaseButton-segmented_control"]
    {border: 1px solid light-dark(#c9d1d6, #3a464d);}
  .block-container {padding-left: 1rem; padding-right: 1rem; padding-top: 2.6rem;
    padding-bottom: 6rem;}
  [data-testid="stHeader"] {min-height: 2.4rem; height: 2.4rem; background: transparent;}
  /* One short line: what is to be done stands above the fold. */
  .st-key-demo-notice {flex-flow: row nowrap; border: 0; padding: 0; gap: 0.5rem;}
  .st-key-demo-notice > div:last-child {flex: 0 0 auto;}
  .st-key-demo-notice p {font-size: 0.8rem;}
  .st-key-demo-notice button {padding: 0 0.5rem;}
  .st-key-demo-day {display: none;}
  /* The bar at the thumb takes the place of the menu behind three strokes. */
  [data-testid="stExpandSidebarButton"] {display: none;}
  .st-key-phone-bar {display: flex; position: fixed; left: 0; right: 0; bottom: 0; z-index: 900;
    flex-flow: row nowrap; gap: 0; padding: 0.2rem 0 max(0.2rem, env(safe-area-inset-bottom));
    background: light-dark(#ffffff, #1b2328); border-top: 1px solid light-dark(#c9d1d6, #3a464d);}
  .st-key-phone-bar > div {flex: 1 1 0; min-width: 0;}
  .st-key-phone-bar [data-testid="stPageLink"], .st-key-phone-bar [data-testid="stPageLink"] > div
    {width: 100%;}
  .st-key-phone-bar a {flex-direction: column; justify-content: center; align-items: center;
    min-height: 52px; gap: 0; width: 100%;}
}
@media print {
  header, [data-testid="stToolbar"], .stButton, .st-key-phone-bar {display: none !important;}
}
</style>
"""

import ca.uhn.fhir.context.FhirContext;
import ca.uhn.fhir.context.support.DefaultProfileValidationSupport;
import ca.uhn.fhir.context.support.IValidationSupport.IssueSeverity;
import ca.uhn.fhir.validation.FhirValidator;
import ca.uhn.fhir.validation.ResultSeverityEnum;
import ca.uhn.fhir.validation.SingleValidationMessage;
import com.fasterxml.jackson.databind.ObjectMapper;
import java.io.BufferedReader;
import java.io.FileDescriptor;
import java.io.FileOutputStream;
import java.io.InputStreamReader;
import java.io.PrintStream;
import java.nio.charset.StandardCharsets;
import java.nio.file.Files;
import java.nio.file.Path;
import java.util.ArrayList;
import java.util.List;
import java.util.Map;
import org.hl7.fhir.common.hapi.validation.support.CommonCodeSystemsTerminologyService;
import org.hl7.fhir.common.hapi.validation.support.InMemoryTerminologyServerValidationSupport;
import org.hl7.fhir.common.hapi.validation.support.PrePopulatedValidationSupport;
import org.hl7.fhir.common.hapi.validation.support.SnapshotGeneratingValidationSupport;
import org.hl7.fhir.common.hapi.validation.support.UnknownCodeSystemWarningValidationSupport;
import org.hl7.fhir.common.hapi.validation.support.ValidationSupportChain;
import org.hl7.fhir.common.hapi.validation.validator.FhirInstanceValidator;
import org.hl7.fhir.r5.utils.validation.constants.BestPracticeWarningLevel;

/**
 * Validates files against one FHIR release, offline.
 *
 * <p>Arguments: the release (R4, R4B, R5) and files with CodeSystems to know. Standard input: a path a line. Standard
 * output: a JSON line a file, with its messages of warning and above, best-practice advice included.
 */
public class ValidateBundles {
  public static void main(String[] arguments) throws Exception {
    PrintStream answers = new PrintStream(new FileOutputStream(FileDescriptor.out), false, StandardCharsets.UTF_8);
    System.setOut(System.err); // the validator's own prints must not mix with the answers
    FhirContext context = switch (arguments[0]) {
      case "R4" -> FhirContext.forR4();
      case "R4B" -> FhirContext.forR4B();
      case "R5" -> FhirContext.forR5();
      default -> throw new IllegalArgumentException(arguments[0]);
    };
    PrePopulatedValidationSupport given = new PrePopulatedValidationSupport(context);
    for (int i = 1; i < arguments.length; i++) {
      given.addResource(context.newJsonParser().parseResource(Files.readString(Path.of(arguments[i]))));
    }
    FhirValidator validator = validator(context, given);
    ObjectMapper json = new ObjectMapper();
    BufferedReader paths = new BufferedReader(new InputStreamReader(System.in, StandardCharsets.UTF_8));
    for (String path; (path = paths.readLine()) != null; ) {
      answers.println(json.writeValueAsString(Map.of("file", path, "messages", messages(validator, path))));
      answers.flush();
    }
    System.exit(0); // the validator's caches may hold threads
  }

  static FhirValidator validator(FhirContext context, PrePopulatedValidationSupport given) {
    UnknownCodeSystemWarningValidationSupport unknown = new UnknownCodeSystemWarningValidationSupport(context);
    unknown.setNonExistentCodeSystemSeverity(IssueSeverity.WARNING);
    FhirInstanceValidator instances = new FhirInstanceValidator(new ValidationSupportChain(
        given,
        new DefaultProfileValidationSupport(context),
        new CommonCodeSystemsTerminologyService(context),
        new InMemoryTerminologyServerValidationSupport(context),
        new SnapshotGeneratingValidationSupport(context),
        unknown)); // last: it answers for whatever nobody knows
    instances.setBestPracticeWarningLevel(BestPracticeWarningLevel.Warning);
    instances.setErrorForUnknownProfiles(true);
    instances.setAnyExtensionsAllowed(true);
    return context.newValidator().registerValidatorModule(instances);
  }

  static List<Map<String, String>> messages(FhirValidator validator, String path) {
    List<Map<String, String>> found = new ArrayList<>();
    try {
      for (SingleValidationMessage one : validator.validateWithResult(Files.readString(Path.of(path))).getMessages()) {
        if (one.getSeverity() == ResultSeverityEnum.INFORMATION) continue;
        boolean dangling = "Bundle_BUNDLE_Not_Local".equals(one.getMessageId()); // can never be resolved elsewhere
        String severity = dangling || one.getSeverity() != ResultSeverityEnum.WARNING ? "error" : "warning";
        found.add(Map.of(
            "severity", severity,
            "id", String.valueOf(one.getMessageId()),
            "where", String.valueOf(one.getLocationString()),
            "message", String.valueOf(one.getMessage())));
      }
    } catch (Exception unreadable) {
      found.add(Map.of("severity", "error", "id", "unreadable", "where", "", "message", unreadable.toString()));
    }
    return found;
  }
}
